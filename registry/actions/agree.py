"""Say of a whole variant that an own example agrees on everything one can see of it, but for what is named."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any

from registry.errors import IdentityMoved, InvalidField, OwnSubmission, RegistryError
from registry.models import Basis, Claim, Condition, Example, Member, Release, State, Variant, Verdict, Vote
from registry.queries.facts import seen_in_pack
from registry.queries.review import judged_by_eye
from registry.sentences import Sentence

from . import wording
from .admission import active
from .attach import add_example
from .journalled import journalled
from .settle import locked
from .vote import considered, kept_together


@journalled
def agree_with_example(
    *,
    variant: Variant,
    by: Member,
    at: datetime,
    base_revision: int,
    example: Example | None = None,
    noted: Mapping[str, Any] | None = None,
    differs: Collection[Claim] = (),
    unseen: Collection[Claim] = (),
    note: str = "",
) -> list[Vote]:
    """One vote on each visible claim of the variant, by an own example: it confirms, where `differs` names it it
    contradicts, naming the state that the member named there before, where `unseen` names it there is none. The
    release is settled once.

    Visible are the claims that `base_revision` held and the member may vote on, the cause aside; of a sealed example
    those on traits seen in pack, and those that `differs` names. `noted` says of a new example what add_example
    takes; one of the member's own that was noted in the same words is taken for it. Sent again, with no vote cast in
    between, it is the votes that are there.
    Errors: those of cast_vote, each with the id of the claim as its field; IdentityMoved; InvalidField where no
    example is named or nothing is left to vote on, OwnSubmission where all of it is the member's own.
    """
    member = active(by)
    looked_at = wording.whole("base_revision", base_revision, 1, 1_000_000)
    release = locked(variant.release)
    variant.refresh_from_db(fields=["standing"])
    if variant.is_gone:
        raise IdentityMoved
    for claim in (*differs, *unseen):
        if claim.variant_id != variant.pk:
            raise InvalidField("differs", claim.public_id, Sentence("Name details of this variant."))
    mine = example or own_example(release, member, at, noted)
    chosen = chosen_claims(variant, release, member, mine, looked_at, differs, unseen)
    named = named_before(member, differs)
    said: dict[str, Any] = {"note": note, "base_revision": looked_at}
    votes = [
        one_vote(claim, member, at, mine, claim in differs, state_seen=named.get(claim.pk), **said)
        for claim in chosen
    ]
    return kept_together(votes, release, at)


def own_example(release: Release, member: Member, at: datetime, noted: Mapping[str, Any] | None) -> Example:
    """The one that was noted in the same words before, or a new one."""
    if noted is None:
        raise InvalidField("example", None, Sentence("Name an example of yours, or say how you hold it."))
    fields = {"condition": "", "found_month": None, "found_shop": "", "found_case": ""} | dict(noted)
    same = Example.objects.filter(release=release, owner=member, **fields).order_by("pk").first()
    return same or add_example(by=member, at=at, release=release, **fields)


def chosen_claims(
    variant: Variant,
    release: Release,
    member: Member,
    example: Example,
    looked_at: int,
    differs: Collection[Claim],
    unseen: Collection[Claim],
) -> list[Claim]:
    """What is voted on, in order of key. What `differs` names comes in whatever it is: cast_vote's rules decide."""
    offered = judged_by_eye(variant, member, looked_at)
    visible = seen_of(example, offered, release)
    chosen = {claim.pk: claim for claim in (*visible, *differs) if claim not in unseen}
    if not chosen:
        if not offered:
            raise OwnSubmission(
                Sentence("There is nothing here that you may vote on: you reported it, or it is your photo.")
            )
        raise InvalidField(
            "unseen", len(unseen), Sentence("Leave at least one detail that this example shows.")
        )
    return [chosen[key] for key in sorted(chosen)]


def seen_of(example: Example, claims: Iterable[Claim], release: Release) -> list[Claim]:
    """Those that show on the example as it is."""
    if example.condition != Condition.SEALED:
        return list(claims)
    in_pack = seen_in_pack(release)
    return [claim for claim in claims if in_pack.get(claim.trait_id, claim.trait.seen_in_pack)]


def named_before(member: Member, differs: Collection[Claim]) -> dict[int, State]:
    """What the member's votes that contradict those claims already name as seen instead, by the claim's key."""
    votes = Vote.objects.current().filter(
        by=member, claim__in=differs, verdict=Verdict.CONTRADICTS, state_seen__isnull=False
    )
    votes = votes.select_related("claim__state__merged_into", "state_seen__merged_into")
    return {
        vote.claim.pk: vote.state_seen
        for vote in votes
        if vote.claim and vote.state_seen and vote.state_seen.survivor != vote.claim.state.survivor
    }


def one_vote(
    claim: Claim, member: Member, at: datetime, example: Example, is_other: bool, **said: Any
) -> Vote:
    """Not cast yet. A refusal names the claim."""
    is_sealed = example.condition == Condition.SEALED
    try:
        vote, _ = considered(
            claim=claim,
            member=member,
            at=at,
            example=example,
            verdict=Verdict.CONTRADICTS if is_other else Verdict.CONFIRMS,
            basis=Basis.OWN_SEALED if is_sealed else Basis.OWN_LOOSE,
            **said,
        )
    except RegistryError as refusal:
        if refusal.field in ("", "claim", "base_revision"):
            refusal.field = claim.public_id
        raise
    return vote
