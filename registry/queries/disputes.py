"""A dispute as a page: both sides with their marks and votes, and the photographs brought for it."""

from __future__ import annotations

from dataclasses import dataclass, field

from registry.models import Claim, Dispute, Mark, Photo

from .votes import tallies

RELATED = (
    "claim__variant__release__line",
    "claim__variant__release__casting",
    "claim__trait",
    "claim__state",
    "rival__variant",
    "rival__trait",
    "rival__state",
    "opened_by",
    "closed_by",
    "statement__release",
    "statement__variant",
    "statement__other",
)


@dataclass
class Side:
    claim: Claim
    marks: list[Mark] = field(default_factory=list)
    tally: dict[str, int] = field(default_factory=dict)


@dataclass
class DisputePage:
    sides: list[Side]
    photos: list[Photo]


def dispute_page(dispute: Dispute) -> DisputePage:
    """Queries: 3."""
    sides = {claim.pk: Side(claim) for claim in (dispute.claim, dispute.rival) if claim is not None}
    marks = Mark.objects.standing().on(sides).select_related("photo__owner", "example").order_by("pk")
    for mark in marks:
        sides[mark.shown_claim].marks.append(mark)
    for claim, tally in tallies(sides).items():
        sides[claim].tally = tally
    photos = Photo.objects.shown().filter(dispute=dispute).select_related("owner").order_by("pk")
    return DisputePage(list(sides.values()), list(photos))
