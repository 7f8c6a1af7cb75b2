"""Photographs with what is marked on them, and what may be said of one of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from registry.models import (
    Claim,
    CountKind,
    CountLine,
    Example,
    Mark,
    Member,
    Photo,
    PhotoExample,
    Release,
    Scope,
    Variant,
    is_about,
)

from .possession import with_codes_seen


@dataclass
class Evidence:
    """A photograph and the marks that stand on it."""

    photo: Photo
    marks: list[Mark] = field(default_factory=list)


def photos_of_variant(variant: Variant, marks: Iterable[Mark]) -> list[Evidence]:
    """What came with reports on the variant and disputes of its claims, and what the marks are on. Queries: 1."""
    by_photo: dict[int, list[Mark]] = defaultdict(list)
    for mark in marks:
        by_photo[mark.photo_id].append(mark)
    named = Variant.objects.standing_for(variant).values("pk")
    shown = Photo.objects.shown().filter(is_about(named) | Q(pk__in=by_photo)).select_related("owner")
    photos = with_codes_seen(shown).order_by("id")
    return [Evidence(photo, sorted(by_photo[photo.pk], key=lambda mark: mark.pk)) for photo in photos]


def one_photo(public_id: str, member: Member | None) -> Photo | None:
    """A photograph that the reader may see, with who saw its code: that of a draft is its owner's alone. Queries: 1."""
    related = (
        "owner",
        "submission__variant__release__line",
        "submission__variant__release__casting",
        "submission__variant__merged_into",
        "submission__differs_from__merged_into",
        "dispute__claim__variant__release__line",
        "dispute__claim__variant__release__casting",
        "dispute__claim__variant__merged_into",
        "dispute__rival",
        "sighting__release__line",
        "sighting__release__casting",
    )
    photos = with_codes_seen(Photo.objects.seen_by(member).filter(public_id=public_id))
    return photos.select_related(*related).first()


def release_of(photo: Photo) -> Release | None:
    """The release that the photograph's report, dispute or sighting is about."""
    if photo.submission and photo.submission.variant:
        return photo.submission.variant.release
    if photo.dispute and photo.dispute.claim:
        return photo.dispute.claim.variant.release
    return photo.sighting.release if photo.sighting else None


def marks_on(photo: Photo) -> list[Mark]:
    """With the colours measured on them. Queries: 1."""
    stands = Q(claim__closed_at=None) | Q(
        claim__merged_into__closed_at=None, claim__merged_into__isnull=False
    )
    marks = Mark.objects.standing().filter(stands, photo=photo)
    return list(
        marks.select_related(
            "claim__trait__merged_into",
            "claim__state__merged_into",
            "claim__variant",
            "example",
            "by",
            "photo",
            "colour__chart",
        ).order_by("pk")
    )


def claims_to_mark(photo: Photo) -> QuerySet[Claim]:
    """Open claims and rivals that the photograph may show: those of the variants its report or dispute names."""
    spoken_of: list[Variant | None] = []
    if photo.submission:
        spoken_of += [photo.submission.variant, photo.submission.differs_from]
    if photo.dispute and photo.dispute.claim:
        spoken_of.append(photo.dispute.claim.variant)
    variants = {variant.survivor for variant in spoken_of if variant}
    claims = Claim.objects.votable().but_cause().filter(variant__in=variants)
    return claims.select_related("trait", "state", "variant").order_by(
        "variant", "-is_difference", "trait__place", "pk"
    )


def examples_shown(photo: Photo) -> QuerySet[Example]:
    return Example.objects.filter(photo_examples__photo=photo).select_related("owner").order_by("pk")


def own_examples(member: Member, release: Release) -> QuerySet[Example]:
    return Example.objects.filter(release=release, owner=member).select_related("owner").order_by("pk")


def examples_to_show(photo: Photo, release: Release) -> QuerySet[Example]:
    """Those that it shows and its owner's others of the release; each says by `is_shown` which it is."""
    shown = Exists(PhotoExample.objects.filter(photo=photo, example=OuterRef("pk")))
    known = Example.objects.filter(release=release).select_related("owner").annotate(is_shown=shown)
    return known.filter(Q(owner=photo.owner_id) | Q(is_shown=True)).order_by("pk")


def kin_of(variant: Variant) -> list[Variant]:
    """Those merged into it, and those seen in one sealed pack with it: each had been made by the packing date.

    Queries: 1.
    """
    packs = CountLine.objects.naming(variant).filter(
        kind=CountKind.VARIANT,
        sighting__scope=Scope.SEALED_PACK,
        sighting__withdrawn_at=None,
    )
    counted = Variant.objects.filter(
        count_lines__sighting__in=packs.values("sighting"), count_lines__kind=CountKind.VARIANT
    )
    named = Coalesce("merged_into", "pk")  # what was counted under a merged name counts for its survivor
    beside = Variant.objects.live().filter(pk__in=counted.annotate(named=named).values("named"))
    kin = Variant.objects.filter(Q(merged_into=variant) | Q(pk__in=beside.values("pk"))).exclude(
        pk=variant.pk
    )
    return list(kin.select_related("release").order_by("id")[:100])
