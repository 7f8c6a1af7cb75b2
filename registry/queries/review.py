"""What a member may still vote on, and what of it first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from registry.methods import queueing
from registry.models import (
    GONE,
    WAITING,
    Cause,
    Claim,
    Example,
    Mark,
    Member,
    Photo,
    TraitKind,
    Variant,
    Vote,
    is_published,
)

from .facts import current_policy
from .fits import reliabilities_for

FIRST = 200
"""So many of the most urgent are put in order for one member."""


def queue(member: Member) -> QuerySet[Claim]:
    """Claims that are undecided, not the member's own, not yet voted on by them; the most urgent first.

    A claim on a contested point comes with its rival: both sides of a dispute are waiting.
    """
    voted = Vote.objects.current().filter(by=member, claim=OuterRef("pk"))
    pictured = Photo.objects.filter(owner=member, submission=OuterRef("submission"))
    rivalled = Photo.objects.filter(owner=member, submission=OuterRef("predecessor__submission"))
    disputed = Photo.objects.filter(owner=member, dispute=OuterRef("rival_in"))
    waiting = (
        Claim.objects.votable()
        .filter(standing__in=WAITING)
        .exclude(variant__standing__in=GONE)
        .exclude(author=member)
        .exclude(trait__kind=TraitKind.CAUSE, state__key=Cause.BASELINE)
    )
    return (
        waiting.annotate(owns=Exists(owned_and_pictured(member)))
        .filter(~Exists(voted), ~Exists(pictured), ~Exists(disputed))
        .filter(Q(rival_in=None) | ~Q(predecessor__author=member) & ~Exists(rivalled))
        .select_related(
            "variant__release__casting",
            "variant__release__line",
            "trait__merged_into",
            "state__merged_into",
            "author",
        )
        .order_by("-urgency", "opened_at", "pk")
    )


def judged_by_eye(variant: Variant, member: Member, revision: int) -> list[Claim]:
    """What the revision held of what stands on the variant, the cause and the member's own aside: an example in the
    hand shows it. Queries: 1.
    """
    pictured = Photo.objects.filter(owner=member, submission=OuterRef("submission"))
    claims = Claim.objects.open().but_cause().filter(variant=variant, since_revision__lte=revision)
    related = ("variant__release", "author", "trait__merged_into", "state__merged_into", "rival_in")
    claims = claims.filter(~Exists(pictured)).exclude(author=member)
    return list(claims.select_related(*related).order_by("pk"))


def first_marks(claims: Iterable[Claim]) -> dict[int, Mark]:
    """A mark that shows each of the claims, where one does, by the claim's key. Queries: 1."""
    marks = Mark.objects.standing().filter(claim__in=[claim.pk for claim in claims])
    found: dict[int, Mark] = {}
    for mark in marks.select_related("photo__owner").order_by("pk"):
        found.setdefault(mark.claim_id, mark)
    return found


def next_for(member: Member, waiting: Sequence[Claim] | QuerySet[Claim]) -> list[tuple[Claim, str]]:
    """The first of what waits, in the order for this member, each with a sentence on why it comes here.

    Their own rates under the fit in force say what a vote of theirs may settle.
    Queries: 2 and that of `waiting`, which is a `queue`, with `FIRST` claims, however many wait.
    """
    policy, reliabilities = current_policy(), reliabilities_for(member)
    claims: list[Any] = list(waiting[:FIRST])  # each knows `owns`
    by_age = {claim.pk: age for age, claim in enumerate(sorted(claims, key=lambda it: (it.opened_at, it.pk)))}
    candidates = [
        queueing.Candidate(
            id=claim.public_id,
            age=by_age[claim.pk],
            waiting=waiting_of(claim),
            owns=claim.owns,
            rates=reliabilities.rates(member.public_id, claim.trait.survivor.kind, claim.owns, policy),
        )
        for claim in claims
    ]
    found = {claim.public_id: claim for claim in claims}
    offers = queueing.offered(candidates, member.public_id, policy)
    return [(found[offer.id], offer.because) for offer in offers]


def owned_and_pictured(member: Member) -> QuerySet[Example]:
    """The member's examples of a claim's release that a photo shows."""
    return Example.objects.filter(
        is_published("photos__"),
        photos__isnull=False,
        photos__taken_down_at=None,
        owner=member,
        release=OuterRef("variant__release"),
    )


def waiting_of(claim: Claim) -> queueing.Waiting:
    """The claim as settling left it."""
    return queueing.Waiting(
        posterior=claim.posterior,
        counted=claim.votes_counted,
        owners=claim.owners_counted,
        needs_only_votes=claim.needs_only_votes,
        verifies=queueing.verifies(claim.missing, claim.variant.missing),
        again=claim.was_founding,
    )
