"""Why a claim stands as it does: what the pure explanation tells, with the rows it speaks of."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from registry.methods.facts import ReleaseFacts
from registry.methods.policy import EQUAL
from registry.methods.standing.why import HeardVote, Uncounted, UnheardVote, Why, why
from registry.models import Claim, Dispute, FitAdoption, Interest, Mark, Member, RoleGrant, SurgeLock, Vote

from .blind import may_see_votes
from .facts import current_policy, release_facts
from .fits import reliabilities_under

RELATED = (
    "variant__release__line",
    "variant__release__casting__maker",
    "trait__merged_into",
    "state__merged_into",
    "author",
    "predecessor",
)

Votes = dict[tuple[str, str], Vote]
"""By public id: the claim that a vote counts on, and its voter."""


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
    fit = FitAdoption.objects.current_fit()
    facts = release_facts(claim.variant.release, fit.number if fit else 0)
    trusted = reliabilities_under(fit, {vote.by for vote in facts.votes}) if fit else EQUAL
    shown = claim.pk in may_see_votes(reader, [claim])
    claim.may_see_votes = shown  # type: ignore[attr-defined]
    votes = votes_on(claim, facts) if shown else {}
    told = why(claim.public_id, facts, current_policy(), trusted, uncounted_in(votes))
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


def votes_on(claim: Claim, facts: ReleaseFacts) -> Votes:
    """Current votes on the claim and on the other sides of its disputes, by the claim each counts on and its voter.

    `was_reviewer`, `sells` and `is_young` on a vote say why a reviewer's does not count, where it does not. Queries: 1.
    """
    disputes = [{d.claim, d.rival} for d in facts.disputes if claim.public_id in (d.claim, d.rival)]
    sides = Claim.objects.filter(public_id__in={claim.public_id}.union(*disputes))
    roles = RoleGrant.objects.filter(member=OuterRef("by"), granted_at__lte=OuterRef("at"))
    interests = Interest.objects.touching(claim.variant.release).filter(member=OuterRef("by"))
    rushes = SurgeLock.objects.filter(claim__in=sides, locked_until__gt=OuterRef("at"))
    cast = (
        Vote.objects.current()
        .on(sides)
        .select_related("by", "example", "claim", "claim__merged_into")
        .annotate(
            sells=Exists(interests.filter(Q(ended_at=None) | Q(ended_at__gt=OuterRef("at")))),
            was_reviewer=Exists(roles.filter(Q(revoked_at=None) | Q(revoked_at__gt=OuterRef("at")))),
            is_young=Exists(rushes.filter(began_at__lte=OuterRef("by__joined_at"))),
        )
    )
    votes = ((vote.claim, vote) for vote in cast.order_by("pk") if vote.claim)
    return {((on.merged_into or on).public_id, vote.by.public_id): vote for on, vote in votes}


def uncounted_in(votes: Votes) -> dict[str, Uncounted]:
    """By voter: why a vote of a reviewer was kept without counting."""
    found: dict[str, Uncounted] = {}
    for vote in votes.values():
        if vote.counts or not vote.was_reviewer:  # type: ignore[attr-defined]
            continue
        if vote.sells:  # type: ignore[attr-defined]
            found[vote.by.public_id] = "seller"
        elif vote.is_young:  # type: ignore[attr-defined]
            found[vote.by.public_id] = "surge"
    return found
