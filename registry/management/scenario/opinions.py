"""What members think of it: votes, disputes, statements of order, and what moderators decide of proposals."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from registry import actions
from registry.models import (
    Basis,
    Claim,
    CodePattern,
    Dispute,
    HeldDispute,
    Proposable,
    Statement,
    Verdict,
)

from .event import Event, Moment
from .files import ScenarioFault, Spec
from .names import Names
from .opening import by_two
from .reports import attach, hundredths, owned


def opinion_events(names: Names) -> Iterator[Event]:
    told = names.scenario.happenings
    for spec in told["sittings"]:
        yield Event(spec["day"], f"{spec['by']} votes on {spec['variant']}", partial(sit, names, spec))
    for spec in told["patterns"]:
        yield Event(spec["day"], "the nightly look for votes in lockstep", look_for_lockstep)
    for spec in told["disputes"]:
        yield from dispute_events(names, spec)
    for spec in told["codes"]:
        yield Event(
            spec["day"], f"{spec['by']} says how a code is read", partial(add_code_pattern, names, spec)
        )
    for spec in told["statements"]:
        what = f"{spec['by']} puts {spec['variant']} in order"
        yield Event(spec["day"], what, partial(make_statement, names, spec))
        for dispute in spec.get("disputed", ()):
            what = f"{dispute['by']} disputes the order of {spec['variant']}"
            yield Event(dispute["day"], what, partial(dispute_statement, names, spec, dispute))
    for spec in told["decisions"]:
        yield Event(spec["day"], f"{spec['by']} decides on a proposal", partial(decide, names, spec))


def sit(names: Names, spec: Spec, now: Moment) -> None:
    """One reviewer goes through the details of one variant: what they confirm, cannot tell, or see otherwise."""
    said: dict[str, dict[str, Any]] = {
        **{trait: {"verdict": Verdict.CONFIRMS} for trait in spec.get("confirms", ())},
        **{trait: {"verdict": Verdict.CANNOT_TELL} for trait in spec.get("cannot_tell", ())},
    }
    release = names.scenario.variants[spec["variant"]]["release"]
    for trait, state in spec.get("contradicts", {}).items():
        said[trait] = {
            "verdict": Verdict.CONTRADICTS,
            "state_seen": names.state(release, trait, state) if state else None,
        }
    example = names.example(spec["example"]) if "example" in spec else None
    common = {"basis": spec.get("basis", Basis.PHOTO), "example": example, "note": spec.get("note", "")}
    actions.cast_votes(
        by=names.member(spec["by"]),
        at=now(),
        opinions=[
            {"claim": names.claim(spec["variant"], trait), **common, **opinion}
            for trait, opinion in said.items()
        ],
    )


def look_for_lockstep(now: Moment) -> None:
    actions.look_for_lockstep(at=now())


def dispute_events(names: Names, spec: Spec) -> Iterator[Event]:
    about = f"{spec['by']}'s dispute on {spec['trait']} of {spec['variant']}"
    yield Event(spec["day"], about, partial(open_dispute, names, spec))
    for vote in spec.get("votes", ()):
        what = f"{vote['by']}'s vote in {about}"
        yield Event(vote["day"], what, partial(vote_on_rival, names, spec, vote))
    if end := spec.get("ends"):
        yield Event(end["day"], f"the end of {about}", partial(end_dispute, names, spec, end))


def open_dispute(names: Names, spec: Spec, now: Moment) -> None:
    release = names.scenario.variants[spec["variant"]]["release"]
    claim, by = names.claim(spec["variant"], spec["trait"]), names.member(spec["by"])
    dispute = actions.open_dispute(
        by=by,
        at=now(),
        claim=claim,
        state=names.state(release, spec["trait"], spec["state"]),
        reason=spec["reason"],
        base_revision=claim.variant.revision_number,
    )
    if isinstance(dispute, HeldDispute):
        if spec.get("becomes") != "held":
            raise ScenarioFault(
                f"{by} disputes one person's records too often: a moderator would hold this one"
            )
        return
    for file in spec.get("pictures", ()):
        add_picture(names, dispute, spec, file, now)


def add_picture(names: Names, dispute: Dispute, spec: Spec, file: str, now: Moment, by: str = "") -> None:
    """A photo for the other side of a dispute, with a mark on each of its variant's examples."""
    member = names.member(by or spec["by"])
    examples = owned(names, file)
    photo = attach(names, file, member, now, dispute=dispute, examples=examples)
    for key, example in zip(names.scenario.pictures[file]["examples"], examples, strict=True):
        boxes = names.scenario.boxes[file].get(key, {})
        is_of_variant = names.scenario.examples[key]["variant"] == spec["variant"]
        if is_of_variant and spec["trait"] in boxes:
            xywh = hundredths(boxes[spec["trait"]])
            actions.mark_region(
                photo=photo, example=example, claim=rival(dispute), xywh=xywh, by=member, at=now()
            )


def rival(dispute: Dispute) -> Claim:
    return Claim.objects.get(rival_in=dispute)


def vote_on_rival(names: Names, spec: Spec, vote: Spec, now: Moment) -> None:
    actions.cast_vote(
        by=names.member(vote["by"]),
        at=now(),
        claim=rival(names.dispute(spec["variant"], spec["trait"], spec["by"])),
        verdict=vote["verdict"],
        basis=vote.get("basis", Basis.PHOTO),
        example=names.example(vote["example"]) if "example" in vote else None,
        note=vote.get("note", ""),
    )


def end_dispute(names: Names, spec: Spec, end: Spec, now: Moment) -> None:
    """The opener takes it back, or a moderator upholds the claim. What the votes decide needs no such entry."""
    dispute = names.dispute(spec["variant"], spec["trait"], spec["by"])
    if end["how"] == "withdrawn":
        actions.withdraw_dispute(dispute=dispute, by=names.member(spec["by"]), at=now())
    else:
        actions.close_dispute(dispute=dispute, by=names.member(end["by"]), at=now(), reason=end["reason"])


def add_code_pattern(names: Names, spec: Spec, now: Moment) -> None:
    said = {name: spec[name] for name in ("name", "template", "dates", "first_year", "margin_days", "source")}
    actions.add_code_pattern(by=names.member(spec["by"]), at=now(), line=names.line(spec["line"]), **said)


def make_statement(names: Names, spec: Spec, now: Moment) -> None:
    release = names.scenario.variants[spec["variant"]]["release"]
    statement = actions.make_statement(
        by=names.member(spec["by"]),
        at=now(),
        release=names.release(release),
        kind=spec["kind"],
        variant=names.variant(spec["variant"]),
        other=names.variant(spec["other"]) if "other" in spec else None,
        on=spec.get("date"),
        code=spec.get("code", ""),
        code_pattern=CodePattern.objects.get(name=spec["pattern"]) if "pattern" in spec else None,
        source_kind=spec["source_kind"],
        source=spec["source"],
    )
    for voter, verdict in spec.get("votes", {}).items():
        by = names.member(voter)
        actions.cast_vote(by=by, at=now(), statement=statement, verdict=verdict, basis=Basis.PHOTO)


def dispute_statement(names: Names, spec: Spec, dispute: Spec, now: Moment) -> None:
    statement = Statement.objects.get(variant=names.variant(spec["variant"]), source=spec["source"])
    actions.open_dispute(
        by=names.member(dispute["by"]), at=now(), statement=statement, reason=dispute["reason"]
    )


def decide(names: Names, spec: Spec, now: Moment) -> None:
    """A moderator accepts what was proposed, or merges it into what it is the same as; or ends a variant."""
    if "variant" in spec:
        return end_variant(names, spec, now)
    moderator, thing = names.member(spec["by"]), proposed(names, spec)
    if "into" in spec:
        kept = names.state(spec["release"], spec["trait"], spec["into"])
        actions.merge(thing=thing, into=kept, by=moderator, at=now(), reason="Two names for one state.")
    else:
        actions.accept(thing=thing, by=moderator, at=now())


def end_variant(names: Names, spec: Spec, now: Moment) -> None:
    """A variant is merged into another, or struck."""
    by, ended = names.member(spec["by"]), names.variant(spec["variant"]).public_id
    if "merged_into" in spec:
        into = names.variant(spec["merged_into"]).public_id
        by_two("variant.merge", {"variant": ended, "into": into}, spec["reason"], by, now)
    else:
        detail = {"variant": ended, "reason_code": spec["struck"]}
        by_two("variant.strike", detail, spec["reason"], by, now)


def proposed(names: Names, spec: Spec) -> Proposable:
    if "pack" in spec:
        return names.release(spec["release"]).packs.get(name=spec["pack"])
    return names.state(spec["release"], spec["trait"], spec["state"])
