"""Why a claim stands as it does: what the pure explanation tells, with the rows it speaks of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from registry.methods.standing.why import HeardVote, Uncounted, UnheardVote, Why, why
from registry.models import Claim, Dispute, Interest, Mark, Member, Release, RoleGrant, SurgeLock, Vote

from .blind import seen_by
from .facts import ReleaseRows, current_policy, facts_of, release_rows, votes_of
from .fits import reliabilities_in_force

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


def explained(public_id: str, reader: Member | None) -> Explanation:
    """The claim of that id explained to the reader, with its variant and release.

    Queries: 10.
    Errors: Release.DoesNotExist where there is no such claim.
    """
    named = Release.objects.filter(variants__claims__public_id=public_id)
    seen = Claim.objects.annotate(may_see_votes=seen_by(reader))
    rows = release_rows(named.select_related("line", "casting__maker"), seen)
    claim = next(claim for claim in rows.claims if claim.public_id == public_id)
    claim.variant.release = rows.release
    cast = list(votes_of(rows.release).annotate(**why_uncounted(claim, rows)))
    fit, trusted = reliabilities_in_force({vote.by.public_id for vote in cast})
    facts = facts_of(rows, cast, fit)
    shown: bool = claim.may_see_votes  # type: ignore[attr-defined]
    votes = by_claim_and_voter(cast, rows) if shown else {}
    told = why(claim.public_id, facts, current_policy(), trusted, uncounted_in(claim, votes))
    return Explanation(
        claim=claim,
        why=told,
        votes_shown=shown,
        heard=[(votes[one.on, one.by], one) for one in told.heard] if shown else [],
        unheard=[(votes[claim.public_id, one.by], one) for one in told.unheard] if shown else [],
        marks=marks_on(claim, rows),
        disputes=disputes_of(claim, rows),
    )


def marks_on(claim: Claim, rows: ReleaseRows) -> list[Mark]:
    """Those that stand, each with its photo and its example."""
    photos = {photo.public_id: photo for photo in rows.photos if photo.taken_down_at is None}
    examples = {example.public_id: example for example in rows.examples}
    mine = [mark for mark in rows.marks if mark.claim.public_id == claim.public_id]
    for mark in mine:
        mark.example = examples[mark.example.public_id]
    return [mark for mark in mine if mark.photo.public_id in photos]


def disputes_of(claim: Claim, rows: ReleaseRows) -> list[Dispute]:
    """Those that name it on either side, each with both sides as they read now."""
    claims = {claim.pk: claim for claim in rows.claims}
    mine = [dispute for dispute in rows.disputes if claim.pk in (dispute.claim_id, dispute.rival_id)]
    for dispute in mine:
        dispute.claim, dispute.rival = claims[dispute.claim_id], claims[dispute.rival_id]  # type: ignore[index]
    return mine


def why_uncounted(claim: Claim, rows: ReleaseRows) -> dict[str, Exists]:
    """What to ask of votes: `was_reviewer`, `sells` and `is_young` say why a reviewer's does not count on the claim or
    on the other side of its disputes, where it does not."""
    disputes = [{d.claim_id, d.rival_id} for d in rows.disputes if claim.pk in (d.claim_id, d.rival_id)]
    sides = {claim.pk}.union(*disputes)
    roles = RoleGrant.objects.filter(member=OuterRef("by"), granted_at__lte=OuterRef("at"))
    interests = Interest.objects.touching(rows.release).filter(member=OuterRef("by"))
    rushes = SurgeLock.objects.filter(claim__in=sides, locked_until__gt=OuterRef("at"))
    return {
        "sells": Exists(interests.filter(Q(ended_at=None) | Q(ended_at__gt=OuterRef("at")))),
        "was_reviewer": Exists(roles.filter(Q(revoked_at=None) | Q(revoked_at__gt=OuterRef("at")))),
        "is_young": Exists(rushes.filter(began_at__lte=OuterRef("by__joined_at"))),
    }


def by_claim_and_voter(cast: Iterable[Vote], rows: ReleaseRows) -> Votes:
    """A vote on a merged claim counts on the claim that survives it; of two there, the later."""
    survivors = {claim.pk: claim.merged_into_id or claim.pk for claim in rows.claims}
    ids = {claim.pk: claim.public_id for claim in rows.claims}
    return {(ids[survivors[vote.claim_id]], vote.by.public_id): vote for vote in cast}  # type: ignore[index]


def uncounted_in(claim: Claim, votes: Votes) -> dict[str, Uncounted]:
    """By voter: why a vote of a reviewer on the claim was kept without counting."""
    found: dict[str, Uncounted] = {}
    for (on, _), vote in votes.items():
        if on != claim.public_id or vote.counts or not vote.was_reviewer:  # type: ignore[attr-defined]
            continue
        if vote.sells:  # type: ignore[attr-defined]
            found[vote.by.public_id] = "seller"
        elif vote.is_young:  # type: ignore[attr-defined]
            found[vote.by.public_id] = "surge"
    return found
