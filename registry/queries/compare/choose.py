"""Which two photographs are worth comparing: those of the same side, that show the details in question by marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from registry.models import Claim, Mark, Member, Photo, Variant
from registry.queries.possession import codes_seen

from .outcome import View

MOST = 24
ASIDE = frozenset({"grey_card", "patch_chart"})  # they say nothing of which side is seen


@dataclass(frozen=True)
class Pair:
    """`a` of the known one, `b` of the other."""

    a: View
    b: View


def published() -> QuerySet[Photo]:
    """Photographs that anybody may see."""
    return Photo.objects.shown().published()


def photos_to_compare(variant: Variant) -> list[Photo]:
    """Published photographs that show the variant by a mark or came with its report. Queries: 1."""
    shows = Q(marks__removed_at=None, marks__claim__variant=variant) | Q(submission__variant=variant)
    return list(published().filter(shows).distinct().order_by("pk")[:MOST])


def photos_beside(photo: Photo, release_id: int, member: Member | None) -> list[Photo]:
    """Other photographs of the release that the reader may see, those of the same side first. Queries: 1."""
    of_release = Q(submission__release=release_id) | Q(dispute__claim__variant__release=release_id)
    of_release |= Q(sighting__release=release_id)
    found = (
        Photo.objects.shown().seen_by(member).filter(of_release).exclude(pk=photo.pk).select_related("owner")
    )
    return sorted(found.order_by("-pk")[: 4 * MOST], key=lambda other: -likeness(photo, other))[:MOST]


def likeness(one: Photo, other: Photo) -> int:
    """How many sides both let one inspect."""
    return len((set(one.views) & set(other.views)) - ASIDE)


def best(ones: Sequence[Photo], others: Sequence[Photo]) -> tuple[Photo, Photo] | None:
    """The two of the same side, as far as their views tell; one photograph is not compared with itself."""
    pairs = [(one, other) for one in ones for other in others if one.digest != other.digest]
    return max(pairs, key=lambda pair: likeness(*pair), default=None)


def marks_about(claim: Claim) -> tuple[list[Mark], list[Mark]]:
    """Marks on the claim, and those on the claim it is said to differ from. Queries: 1.

    No mark shows a cause: what the variant is said to differ by is what one judges it from.
    At hand are their claims, their photographs, with whether a code was seen in them, and the colours measured.
    """
    asked = Claim.objects.filter(pk=claim.pk)
    if claim.trait.is_cause:
        asked = Claim.objects.open().filter(variant=claim.variant_id, is_difference=True)
    about = Q(claim__in=asked.values("pk")) | Q(claim__in=asked.values("base_claim"))
    related = (
        "claim__trait__merged_into",
        "claim__state__merged_into",
        "photo__owner",
        "photo__submission",
        "example",
        "colour__chart",
    )
    standing = Mark.objects.standing().filter(about).select_related(*related)
    marks: list[Any] = list(standing.annotate(code_seen_by=codes_seen("photo")).order_by("pk"))
    for mark in marks:
        mark.photo.code_seen_by = mark.code_seen_by
    own = [mark for mark in marks if mark.claim.variant_id == claim.variant_id]
    return own, [mark for mark in marks if mark.claim.variant_id != claim.variant_id]


def counterpart(own: Sequence[Mark], others: Sequence[Mark]) -> Pair | None:
    """For the marks of `marks_about`: a photograph of what the claim is said to differ from, beside one of its own.

    Where only one photograph shows both, its two parts. No query.
    """
    mine = {mark.photo_id: mark.photo for mark in own if mark.photo.is_published}
    known = {mark.photo_id: mark.photo for mark in others if mark.photo.is_published}
    if pair := best(list(known.values())[:MOST], list(mine.values())[:MOST]):
        return Pair(View(pair[0]), View(pair[1]))
    both = ((one, other) for one in others for other in own if one.photo_id == other.photo_id)
    return next((parted(one, other) for one, other in both if one.photo.is_published), None)


def parted(known: Mark, other: Mark) -> Pair:
    """One photograph cut halfway between two marks, along the side on which they lie further apart."""
    centres = [(mark.x + mark.w / 2, mark.y + mark.h / 2) for mark in (known, other)]
    across, down = (abs(centres[0][n] - centres[1][n]) for n in (0, 1))
    side = 0 if across >= down else 1
    cut = round((centres[0][side] + centres[1][side]) / 2)
    first = (0, 0, cut, 10_000) if side == 0 else (0, 0, 10_000, cut)
    second = (cut, 0, 10_000 - cut, 10_000) if side == 0 else (0, cut, 10_000, 10_000 - cut)
    before, after = View(known.photo, first), View(other.photo, second)
    if centres[0][side] <= centres[1][side]:
        return Pair(before, after)
    return Pair(View(known.photo, second), View(other.photo, first))


def known_variant(variant: Variant) -> Variant | None:
    """The variant that this one was first said to differ from. Queries: 1."""
    differs = Claim.objects.filter(variant=variant, base_claim__isnull=False)
    claim = differs.select_related("base_claim__variant__merged_into").order_by("pk").first()
    return claim.base_claim.variant.survivor if claim and claim.base_claim else None
