"""Photographs with what is marked on them, and what may be said of one of them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from registry.models import Claim, CountKind, CountLine, Example, Mark, Member, Photo, Release, Scope, Variant

from .pages import VariantPage


@dataclass
class Evidence:
    """A photograph and the marks that stand on it."""

    photo: Photo
    marks: list[Mark] = field(default_factory=list)


def photos_of_variant(page: VariantPage) -> list[Evidence]:
    """What came with reports on the variant and disputes of its claims, with the marks the page knows. Queries: 1."""
    by_photo: dict[int, list[Mark]] = defaultdict(list)
    for entry in (*page.claims, *page.rivals):
        for mark in entry.marks:
            mark.claim = entry.claim
            by_photo[mark.photo_id].append(mark)
    variant = page.variant
    mine = Q(submission__variant=variant, submission__sent_at__isnull=False) | Q(
        dispute__claim__variant=variant
    )
    photos = Photo.objects.shown().filter(mine | Q(pk__in=by_photo)).select_related("owner").order_by("id")
    return [Evidence(photo, sorted(by_photo[photo.pk], key=lambda mark: mark.pk)) for photo in photos]


def one_photo(public_id: str, member: Member | None) -> Photo | None:
    """A photograph that the reader may see: that of a draft is its owner's alone. Queries: 1."""
    seen = Q(submission=None) | Q(submission__sent_at__isnull=False) | Q(owner=member.pk if member else None)
    related = (
        "owner",
        "submission__variant__release",
        "submission__differs_from",
        "dispute__claim__variant__release",
        "dispute__rival",
        "sighting__release",
    )
    return Photo.objects.filter(seen, public_id=public_id).select_related(*related).first()


def release_of(photo: Photo) -> Release | None:
    """The release that the photograph's report, dispute or sighting is about."""
    if photo.submission and photo.submission.variant:
        return photo.submission.variant.release
    if photo.dispute and photo.dispute.claim:
        return photo.dispute.claim.variant.release
    return photo.sighting.release if photo.sighting else None


def marks_on(photo: Photo) -> list[Mark]:
    """Queries: 1."""
    marks = Mark.objects.standing().filter(photo=photo, claim__closed_at=None)
    return list(
        marks.select_related("claim__trait", "claim__state", "claim__variant", "example", "by").order_by("pk")
    )


def claims_to_mark(photo: Photo) -> QuerySet[Claim]:
    """Open claims and rivals that the photograph may show: those of the variants its report or dispute names."""
    variants: set[int | None] = set()
    if photo.submission:
        variants |= {photo.submission.variant_id, photo.submission.differs_from_id}
    if photo.dispute and photo.dispute.claim:
        variants.add(photo.dispute.claim.variant_id)
    claims = Claim.objects.votable().filter(variant__in=variants - {None}).exclude(trait__key="cause")
    return claims.select_related("trait", "state", "variant").order_by(
        "variant", "-is_difference", "trait__place", "pk"
    )


def examples_shown(photo: Photo) -> QuerySet[Example]:
    return Example.objects.filter(photo_examples__photo=photo).order_by("pk")


def own_examples(member: Member, release: Release) -> QuerySet[Example]:
    return Example.objects.filter(release=release, owner=member).order_by("pk")


def packed_with(variant: Variant) -> list[Variant]:
    """Variants seen in one sealed pack with this one: each had been made by the packing date. Queries: 1."""
    packs = CountLine.objects.filter(
        variants=variant,
        kind=CountKind.VARIANT,
        sighting__scope=Scope.SEALED_PACK,
        sighting__withdrawn_at=None,
    ).values("sighting")
    beside = Variant.objects.live().filter(
        count_lines__sighting__in=packs, count_lines__kind=CountKind.VARIANT
    )
    return list(beside.exclude(pk=variant.pk).select_related("release").distinct().order_by("id")[:50])
