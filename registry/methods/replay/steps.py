"""What each verb of the journal does to what is known. Verbs that do not bear on standing have no step."""

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any, TypeVar

from registry.methods.facts import (
    ClaimFact,
    DisputeFact,
    ExampleFact,
    MarkFact,
    PhotoFact,
    VariantFact,
    VoteFact,
)

from .state import Detail, Journal, Line, Release

_SHAPES: dict[str, Callable[[Any], Any]] = {"barred": frozenset, "views": frozenset, "examples": tuple}

F = TypeVar("F")


# People


def grant_role(journal: Journal, line: Line, detail: Detail) -> None:
    journal.roles[detail["member"]].add(detail["role"])


def revoke_role(journal: Journal, line: Line, detail: Detail) -> None:
    journal.roles[detail["member"]].discard(detail["role"])


def suspend(journal: Journal, line: Line, detail: Detail) -> None:
    journal.suspended.add(detail["member"])


def reinstate(journal: Journal, line: Line, detail: Detail) -> None:
    journal.suspended.discard(detail["member"])


def erase_member(journal: Journal, line: Line, detail: Detail) -> None:
    journal.roles[detail["member"]].clear()


def declare_link(journal: Journal, line: Line, detail: Detail) -> None:
    journal.links.add(frozenset((detail["a"], detail["b"])))


# Catalogue


def add_release(journal: Journal, line: Line, detail: Detail) -> None:
    journal.releases[detail["release"]] = Release(accepted=detail["accepted"])


def accept_release(journal: Journal, line: Line, detail: Detail) -> None:
    journal.release(detail["release"]).accepted = True


def merge_release(journal: Journal, line: Line, detail: Detail) -> None:
    old, into = journal.release(detail["release"]), journal.release(detail["into"])
    if old is into:
        raise ValueError(f"release {detail['release']} would be merged into itself")
    into.absorb(old)
    journal.merged[detail["release"]] = detail["into"]
    restate_claims(journal, line, {"claims": detail.get("claims", ())})


def add_pack(journal: Journal, line: Line, detail: Detail) -> None:
    for name in detail["releases"]:
        journal.release(name).clear_sealed_pack |= detail["sealed"] and detail["see_through"]


def merge_pack(journal: Journal, line: Line, detail: Detail) -> None:
    """`clear`: for each release that either pack holds, whether some pack of it is now sealed and see-through."""
    for name, is_clear in detail["clear"].items():
        journal.release(name).clear_sealed_pack = is_clear


def mark_unobtainable(journal: Journal, line: Line, detail: Detail) -> None:
    journal.release(detail["release"]).sealed_unobtainable = detail["value"]


def restate_claims(journal: Journal, line: Line, detail: Detail) -> None:
    """A trait or state was accepted, merged or changed. A claim's id alone means: accepted now."""
    for entry in detail["claims"]:
        changes: Detail = {"id": entry, "accepted": True} if isinstance(entry, str) else entry
        journal.home_of("claim", changes["id"]).change_claim(changes["id"], **_said(ClaimFact, changes))


def rename_in_claims(journal: Journal, line: Line, detail: Detail) -> None:
    """Names only make the words of what is missing: a line that restates no claim changes no standing."""
    restate_claims(journal, line, {"claims": detail.get("claims", ())})


# Submissions and evidence


def send_submission(journal: Journal, line: Line, detail: Detail) -> None:
    name = detail["release"]
    release = journal.release(name)
    if detail["new_variant"]:
        variant = VariantFact(detail["variant"], line.seq, detail.get("title", ""))
        release.variants[variant.id] = variant
        journal.settle_in("variant", variant.id, name)
    if line.by:
        release.contributors.add(line.by)
    for claim in detail.get("claims", ()):
        _open_claim(journal, name, claim)
    for example in detail.get("examples", ()):
        add_example(journal, line, {**example, "release": name})
    for photo in detail.get("photos", ()):
        journal.of_drafts.discard(photo["id"])
        attach_photo(journal, line, {**photo, "release": name, "submission": True})
    for mark in detail.get("marks", ()):
        add_mark(journal, line, mark)


def _open_claim(journal: Journal, release: str, detail: Detail, **more: Any) -> None:
    journal.release(release).claims[detail["id"]] = _fact(ClaimFact, detail, **more)
    journal.settle_in("claim", detail["id"], release)


def add_example(journal: Journal, line: Line, detail: Detail) -> None:
    journal.release(detail["release"]).examples[detail["id"]] = _fact(ExampleFact, detail)


def attach_photo(journal: Journal, line: Line, detail: Detail) -> None:
    """`bars`: the claims that the photo's owner may no longer vote on. A photo of a draft names no release."""
    if detail["release"] is None:
        journal.of_drafts.add(detail["id"])
        return
    release = journal.release(detail["release"])
    release.photos[detail["id"]] = _fact(PhotoFact, detail)
    journal.settle_in("photo", detail["id"], detail["release"])
    if detail.get("submission"):
        release.contributors.add(detail["owner"])
    for claim in detail.get("bars", ()):
        home = journal.home_of("claim", claim)
        home.change_claim(claim, barred=home.claims[claim].barred | {detail["owner"]})


def describe_photo(journal: Journal, line: Line, detail: Detail) -> None:
    if detail["id"] in journal.of_drafts:
        return
    photos = journal.home_of("photo", detail["id"]).photos
    photos[detail["id"]] = replace(
        photos[detail["id"]], examples=tuple(detail["examples"]), views=frozenset(detail["views"])
    )


def take_photo_down(journal: Journal, line: Line, detail: Detail) -> None:
    """`disputes`: those that carry no other photo."""
    if detail["id"] in journal.of_drafts:
        return
    photos = journal.home_of("photo", detail["id"]).photos
    photos[detail["id"]] = replace(photos[detail["id"]], down=True)
    for dispute in detail.get("disputes", ()):
        journal.home_of("dispute", dispute).change_dispute(dispute, photo=False)


def restore_photo(journal: Journal, line: Line, detail: Detail) -> None:
    """`disputes`: those that it is a photo of."""
    if detail["id"] in journal.of_drafts:
        return
    photos = journal.home_of("photo", detail["id"]).photos
    photos[detail["id"]] = replace(photos[detail["id"]], down=False)
    for dispute in detail.get("disputes", ()):
        journal.home_of("dispute", dispute).change_dispute(dispute, photo=True)


def add_mark(journal: Journal, line: Line, detail: Detail) -> None:
    journal.home_of("claim", detail["claim"]).marks.append(_fact(MarkFact, detail))


def remove_mark(journal: Journal, line: Line, detail: Detail) -> None:
    journal.home_of("claim", detail["claim"]).marks.remove(_fact(MarkFact, detail))


# Votes and disputes; those on statements of order bear on no standing


def cast_vote(journal: Journal, line: Line, detail: Detail) -> None:
    if "statement" in detail:
        return
    vote = _fact(VoteFact, detail, by=line.by, seq=line.seq)
    journal.home_of("claim", vote.claim).votes[vote.claim, vote.by] = vote


def withdraw_vote(journal: Journal, line: Line, detail: Detail) -> None:
    if "statement" in detail:
        return
    del journal.home_of("claim", detail["claim"]).votes[detail["claim"], line.by or ""]


def discount_votes(journal: Journal, line: Line, detail: Detail) -> None:
    """A declared interest, or a rush of votes: these count no longer."""
    for claim, by in detail["discounted"]:
        votes = journal.home_of("claim", claim).votes
        votes[claim, by] = replace(votes[claim, by], counts=False)


def open_dispute(journal: Journal, line: Line, detail: Detail) -> None:
    if "statement" in detail:
        return
    home = journal.home("claim", detail["claim"])
    _open_claim(journal, home, detail["rival"], rival_in=detail["id"])
    journal.release(home).disputes[detail["id"]] = DisputeFact(
        id=detail["id"],
        claim=detail["claim"],
        rival=detail["rival"]["id"],
        opened_by=line.by or "",
        photo=detail["photo"],
        seq=line.seq,
    )
    journal.settle_in("dispute", detail["id"], home)


def add_dispute_photo(journal: Journal, line: Line, detail: Detail) -> None:
    """`owner`: of a photo that was there before, who may not vote on the rival any more."""
    if "statement" in detail:
        return
    release = journal.home_of("dispute", detail["id"])
    dispute = release.change_dispute(detail["id"], photo=True)
    if "owner" in detail:
        barred = release.claims[dispute.rival].barred | {detail["owner"]}
        release.change_claim(dispute.rival, barred=barred)


def close_dispute(journal: Journal, line: Line, detail: Detail) -> None:
    """Corrected: the claim closes and its rival takes its place. Upheld or withdrawn: the rival closes."""
    if "statement" in detail:
        return
    release = journal.home_of("dispute", detail["id"])
    dispute = release.change_dispute(detail["id"], is_open=False)
    if detail["outcome"] == "corrected":
        release.change_claim(dispute.claim, is_open=False)
        is_difference = release.claims[dispute.claim].is_difference
        release.change_claim(dispute.rival, rival_in=None, is_difference=is_difference)
    elif detail["outcome"] in ("upheld", "withdrawn"):
        release.change_claim(dispute.rival, is_open=False)
    else:
        raise ValueError(f"no dispute ends as {detail['outcome']!r}")


# Standing itself: decided from all that is above, but under which fit is said here


def settle(journal: Journal, line: Line, detail: Detail) -> None:
    """`fit`: the number of the one whose rates votes weigh by from here on; only where it is another than before."""
    if "fit" in detail:
        journal.release(detail["release"]).fit = detail["fit"]


# Moderators' events


def end_variant(journal: Journal, line: Line, detail: Detail) -> None:
    """Struck, merged or split. `claims`, of a merge: each claim that closes, to the one that takes its place (blank:
    none does); `opened`: those that open anew on the survivor."""
    release = journal.home_of("variant", detail["variant"])
    event: Any = line.verb.removeprefix("variant.")
    release.variants[detail["variant"]] = replace(release.variants[detail["variant"]], event=event)
    for claim in detail.get("opened", ()):
        _open_claim(journal, journal.home("variant", detail["variant"]), claim)
    for closed, successor in detail.get("claims", {}).items():
        release.change_claim(closed, is_open=False)
        if successor:
            release.successors[closed] = successor


def part_variant(journal: Journal, line: Line, detail: Detail) -> None:
    """A part was split out, with claims of its own. `unmarked`: what was marked on the whole and shows the part."""
    home = journal.home("variant", detail["variant"])
    part = VariantFact(detail["part"], line.seq, detail["title"])
    journal.release(home).variants[part.id] = part
    journal.settle_in("variant", part.id, home)
    for claim in detail["claims"]:
        _open_claim(journal, home, claim)
    for mark in detail["marks"]:
        add_mark(journal, line, mark)
    for mark in detail["unmarked"]:
        remove_mark(journal, line, mark)


def retitle_variant(journal: Journal, line: Line, detail: Detail) -> None:
    """Its title is in the words of what others still lack."""
    variants = journal.home_of("variant", detail["variant"]).variants
    variants[detail["variant"]] = replace(variants[detail["variant"]], title=detail["title"])


def restore_variant(journal: Journal, line: Line, detail: Detail) -> None:
    """`claims`: those that a merge had closed and that open again; `closed`: those that it had opened."""
    release = journal.home_of("variant", detail["variant"])
    release.variants[detail["variant"]] = replace(release.variants[detail["variant"]], event=None)
    for claim in detail.get("claims", ()):
        release.change_claim(claim, is_open=True)
        release.successors.pop(claim, None)
    for claim in detail.get("closed", ()):
        release.change_claim(claim, is_open=False)


def _fact(kind: type[F], detail: Detail, **more: Any) -> F:
    """A fact from what its line says of it."""
    return kind(**{**_said(kind, detail), **more})


def _said(kind: type[F], detail: Detail) -> dict[str, Any]:
    """What a line says of a fact, JSON's lists made fit. What the fact has no place for is left out."""
    names = [each.name for each in fields(kind) if each.name in detail]  # type: ignore[arg-type]
    return {name: _SHAPES[name](detail[name]) if name in _SHAPES else detail[name] for name in names}


STEPS: dict[str, Callable[[Journal, Line, Detail], None]] = {
    "role.granted": grant_role,
    "role.revoked": revoke_role,
    "member.suspended": suspend,
    "member.erased": erase_member,
    "member.reinstated": reinstate,
    "link.declared": declare_link,
    "release.added": add_release,
    "release.accepted": accept_release,
    "release.merged": merge_release,
    "pack.added": add_pack,
    "pack.merged": merge_pack,
    "sealed.unobtainable": mark_unobtainable,
    **{
        f"{noun}.{change}": restate_claims
        for noun in ("trait", "state", "adoption")
        for change in ("accepted", "merged", "changed")
    },
    "trait.renamed": rename_in_claims,
    "state.renamed": rename_in_claims,
    "submission.sent": send_submission,
    "example.added": add_example,
    "photo.attached": attach_photo,
    "photo.described": describe_photo,
    "photo.taken_down": take_photo_down,
    "photo.restored": restore_photo,
    "mark.added": add_mark,
    "mark.removed": remove_mark,
    "vote.cast": cast_vote,
    "vote.withdrawn": withdraw_vote,
    "interest.declared": discount_votes,
    "surge.locked": discount_votes,
    "dispute.opened": open_dispute,
    "dispute.photo_added": add_dispute_photo,
    "dispute.closed": close_dispute,
    "release.settled": settle,
    "variant.struck": end_variant,
    "variant.merged": end_variant,
    "variant.split": end_variant,
    "variant.parted": part_variant,
    "variant.restored": restore_variant,
    "variant.retitled": retitle_variant,
}
