"""What a merge of two variants would do, claim by claim. The action does exactly this."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from registry.models import Cause, Claim, Dispute, Variant
from registry.sentences import Sentence


class How(StrEnum):
    JOINS = "joins"
    OPENS = "opens"
    RIVALS = "rivals"
    ENDS = "ends"


WORDS = {
    How.JOINS: Sentence("its votes and marks count for the same detail of the survivor"),
    How.OPENS: Sentence("the survivor has no such detail yet: it opens there, with its votes and marks"),
    How.RIVALS: Sentence("the survivor says otherwise: a dispute opens between the two"),
    How.ENDS: Sentence("it ends, as it was said in relation to the baseline"),
}


@dataclass(frozen=True)
class Carried:
    """What becomes of one claim of the variant to be merged. `other`: the survivor's claim that it meets."""

    claim: Claim
    how: How
    other: Claim | None = None
    blocked_by: Dispute | None = None
    """An open dispute that has to end first."""

    @property
    def words(self) -> str:
        return WORDS[self.how]


def merge_plan(variant: Variant, into: Variant) -> list[Carried]:
    """One entry for each open claim of `variant`, oldest first. Queries: 4."""
    theirs = {claim.trait.survivor.pk: claim for claim in open_claims(into)}
    disputes = Dispute.objects.open().filter(claim__variant__in=(variant, into))
    disputed = {
        dispute.claim_id: dispute
        for dispute in disputes.select_related("rival__state__merged_into", "rival__trait")
    }
    is_first = first_standing(into, without=variant) == into
    return [
        carried(claim, theirs.get(claim.trait.survivor.pk), disputed, is_first)
        for claim in open_claims(variant)
    ]


def open_claims(variant: Variant) -> list[Claim]:
    claims = Claim.objects.open().filter(variant=variant)
    related = ("variant", "trait__merged_into", "state__merged_into", "author", "submission", "base_claim")
    return list(claims.select_related(*related).order_by("pk"))


def first_standing(variant: Variant, without: Variant) -> Variant | None:
    """The first-sent variant of the release once the other is gone."""
    return (
        Variant.objects.live()
        .filter(release=variant.release_id)
        .exclude(pk=without.pk)
        .order_by("pk")
        .first()
    )


def carried(
    claim: Claim, other: Claim | None, disputed: dict[int | None, Dispute], is_first: bool
) -> Carried:
    own = disputed.get(claim.pk)
    if claim.trait.is_cause and Cause.BASELINE in (claim.state.key, other.state.key if other else ""):
        # A cause is said in relation to the baseline, and a baseline in relation to none.
        how = How.OPENS if other is None and is_first else How.ENDS
        if other is not None and other.state.key == claim.state.key:
            how = How.JOINS
        return Carried(claim, how, other, own)
    if other is None:
        return Carried(claim, How.OPENS, None, own)
    if other.state.survivor == claim.state.survivor:
        return Carried(claim, How.JOINS, other, own)
    theirs = disputed.get(other.pk)
    if theirs and theirs.rival and theirs.rival.state.survivor == claim.state.survivor:
        return Carried(claim, How.JOINS, theirs.rival, own)
    return Carried(claim, How.RIVALS, other, own or theirs)
