"""Why a claim stands as it does: what the pure explanation tells, with the rows it speaks of."""

from __future__ import annotations

from dataclasses import dataclass

from registry.methods.standing.why import HeardVote, UnheardVote, Why, why
from registry.models import Claim, Dispute, Mark, Member, Vote

from .blind import may_see_votes
from .facts import current_policy, release_facts
from .fits import current_fit_number, reliabilities_of

RELATED = (
    "variant__release__line",
    "variant__release__casting__maker",
    "trait__merged_into",
    "state__merged_into",
    "author",
    "predecessor",
)


@dataclass(frozen=True)
class Explanation:
    """Where votes are blind to the reader, `votes_shown` is no, and `heard` and `unheard` are empty: evidence, disputes
    and what is missing alone are to be told."""

    claim: Claim
    why: Why
    votes_shown: bool
    heard: list[tuple[Vote, HeardVote]]
    unheard: list[tuple[Vote, UnheardVote]]
    marks: list[Mark]
    disputes: list[Dispute]


def explained(claim: Claim, reader: Member | None) -> Explanation:
    """The claim explained to the reader; `claim` with what `RELATED` names.

    The number of queries does not grow: the facts of its release, and at most 5.
    """
    facts = release_facts(claim.variant.release, current_fit_number())
    told = why(claim.public_id, facts, current_policy(), reliabilities_of(facts))
    shown = claim.pk in may_see_votes(reader, [claim])
    ids = {claim.public_id, *(vote.on for vote in told.heard)} if shown else set()
    cast = Vote.objects.current().filter(claim__public_id__in=ids).select_related("by", "example", "claim")
    votes = {(vote.claim.public_id, vote.by.public_id): vote for vote in cast if vote.claim}
    marks = claim.marks.standing().select_related("photo__owner", "example__owner").order_by("pk")
    disputes = Dispute.objects.filter(public_id__in=told.disputes).order_by("pk")
    return Explanation(
        claim=claim,
        why=told,
        votes_shown=shown,
        heard=[(votes[one.on, one.by], one) for one in told.heard] if shown else [],
        unheard=[(votes[claim.public_id, one.by], one) for one in told.unheard] if shown else [],
        marks=list(marks),
        disputes=list(disputes.select_related("opened_by", "claim__state", "rival__state")),
    )
