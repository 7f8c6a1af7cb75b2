"""What a member may still vote on."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q, QuerySet

from registry.models import GONE, Claim, ClaimStanding, Member, Photo, Vote


def queue(member: Member) -> QuerySet[Claim]:
    """Claims that are undecided, not the member's own, and not yet voted on by them; the oldest first.

    A claim on a contested point comes with its rival: both sides of a dispute are waiting.
    """
    voted = Vote.objects.current().filter(by=member, claim=OuterRef("pk"))
    pictured = Photo.objects.filter(owner=member, submission=OuterRef("submission"))
    rivalled = Photo.objects.filter(owner=member, submission=OuterRef("predecessor__submission"))
    disputed = Photo.objects.filter(owner=member, dispute=OuterRef("rival_in"))
    waiting = (
        Claim.objects.votable()
        .filter(standing__in=(ClaimStanding.OPEN, ClaimStanding.DISPUTED))
        .exclude(variant__standing__in=GONE)
        .exclude(author=member)
        .exclude(trait__key="cause", state__key="baseline")
    )
    return (
        waiting.filter(~Exists(voted), ~Exists(pictured), ~Exists(disputed))
        .filter(Q(rival_in=None) | ~Q(predecessor__author=member) & ~Exists(rivalled))
        .select_related(
            "variant__release__casting",
            "variant__release__line",
            "trait__merged_into",
            "state__merged_into",
            "author",
        )
        .order_by("opened_at", "pk")
    )
