"""A dispute as a page: both sides with their marks and votes, and the photographs brought for it."""

from __future__ import annotations

from dataclasses import dataclass, field

from registry.models import Claim, Dispute, Mark, Member, Outcome, Photo

from .blind import may_see_votes
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
    "statement__release__line",
    "statement__release__casting",
    "statement__variant",
    "statement__other",
)


MOST_OPEN = 5


def lately_opened() -> list[Dispute]:
    """The newest disputes that nobody has decided. Queries: 1."""
    merged = [f"{path}__merged_into" for path in ("claim__trait", "claim__state", "rival__state")]
    return list(Dispute.objects.open().select_related(*RELATED, *merged).order_by("-id")[:MOST_OPEN])


@dataclass
class Side:
    claim: Claim
    marks: list[Mark] = field(default_factory=list)
    tally: dict[str, int] | None = None
    """Counted votes by verdict; None where the reader has to vote first."""


@dataclass
class DisputePage:
    sides: list[Side]
    photos: list[Photo]


def dispute_page(dispute: Dispute, reader: Member | None = None) -> DisputePage:
    """Both sides as this reader may see them: while it is open, a vote on one side shows both. Queries: 3 to 5."""
    sides = {claim.pk: Side(claim) for claim in (dispute.claim, dispute.rival) if claim is not None}
    marks = Mark.objects.standing().on(sides).select_related("photo__owner", "example").order_by("pk")
    for mark in marks:
        sides[mark.shown_claim].marks.append(mark)
    seen = may_see_votes(reader, [side.claim for side in sides.values()])
    if seen and dispute.outcome == Outcome.OPEN:
        seen = set(sides)  # one question while it is open: a vote on either side shows both
    if seen:
        counted = tallies(seen)
        for claim in seen:
            sides[claim].tally = counted.get(claim, {})
    photos = Photo.objects.shown().filter(dispute=dispute).select_related("owner").order_by("pk")
    return DisputePage(list(sides.values()), list(photos))
