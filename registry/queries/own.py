"""What belongs to one member: reports, votes, sightings, tokens, the cabinet. Nobody else sees it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from registry.models import (
    CabinetItem,
    Dispute,
    HeldDispute,
    HeldOutcome,
    Interest,
    Member,
    Release,
    Sighting,
    Submission,
    Token,
    Variant,
    Vote,
)
from registry.sentences import Sentence

from .paged import Page, one_page
from .reporting import own_submissions

MOST = 100
ON_SHELF = 100


@dataclass(frozen=True)
class AccountPage:
    submissions: list[Submission]
    votes: list[Vote]
    disputes: list[Dispute]
    sightings: list[Sighting]
    tokens: list[Token]
    held: list[HeldDispute]
    interests: list[Interest]


def account_page(member: Member, at: datetime) -> AccountPage:
    """Newest first. Queries: 7."""
    votes = Vote.objects.current().filter(by=member, claim__isnull=False)
    votes = votes.select_related("claim__trait", "claim__state", "claim__variant__release")
    disputes = Dispute.objects.filter(opened_by=member).select_related(
        "claim__trait", "claim__state", "claim__variant"
    )
    sightings = Sighting.objects.filter(by=member, withdrawn_at=None).select_related("release")
    return AccountPage(
        submissions=own_submissions(member),
        votes=list(votes.order_by("-id")[:MOST]),
        disputes=list(disputes.order_by("-id")[:MOST]),
        sightings=list(sightings.order_by("-id")[:MOST]),
        tokens=list(Token.objects.usable(at).filter(member=member).order_by("-id")),
        held=list(
            HeldDispute.objects.exclude(outcome=HeldOutcome.RELEASED)
            .filter(opened_by=member)
            .select_related("claim__trait", "claim__state", "claim__variant")
            .order_by("-id")[:MOST]
        ),
        interests=list(
            Interest.objects.held()
            .filter(member=member)
            .select_related("maker", "line__maker", "casting__maker", "release__line", "release__casting")
            .order_by("-id")
        ),
    )


ONLY: dict[str, tuple[str, Q]] = {
    "": (Sentence("everything"), Q()),
    "to-swap": (Sentence("to swap"), Q(to_swap__gte=1)),
    "unchecked": (Sentence("not checked yet which one"), Q(variant=None)),
}
"""What of a cabinet can be shown alone: by the word in the address, its label and condition."""


def cabinet(member: Member, only: str = "", page: int = 1) -> Page[CabinetItem]:
    """By line, release and variant. Queries: 1."""
    items = CabinetItem.objects.filter(ONLY[only][1], member=member)
    items = items.select_related("release__line", "release__casting", "variant", "pack_version__pack")
    rows = items.order_by("release__line__name", "release__name", "release_id", "variant_id", "id")
    return one_page(rows, page, ON_SHELF)


def owned_of(member: Member, release: Release, variant: Variant | None = None) -> list[CabinetItem]:
    """What they own of a release, or of one variant, whatever was merged into it. Queries: 1."""
    items = CabinetItem.objects.filter(
        Q(release=release) | Q(release__merged_into=release), member=member
    ).select_related("variant")
    if variant is not None:
        items = items.filter(Q(variant=variant) | Q(variant__merged_into=variant))
    return list(items.order_by("pk")[:MOST])
