"""What the form for a sighting shows beside its boxes."""

from __future__ import annotations

from collections.abc import Sequence

from registry.models import Mark, Member, Sighting, Variant


def pictures_of(variants: Sequence[Variant]) -> dict[int, Mark]:
    """For each variant, by key, a mark that shows what it differs by, or else any detail of it. Queries: 1."""
    marks = Mark.objects.standing().filter(
        claim__variant__in=variants, claim__closed_at=None, claim__is_rival=False
    )
    found: dict[int, Mark] = {}
    for mark in marks.select_related("photo", "claim__trait").order_by("-claim__is_difference", "pk"):
        found.setdefault(mark.claim.variant_id, mark)
    return found


def last_place(member: Member) -> tuple[str, str]:
    """Country and region of the member's newest sighting, most likely that of the next too. Queries: 1."""
    newest = Sighting.objects.filter(by=member).order_by("-pk").values_list("country", "region").first()
    return newest or ("", "")
