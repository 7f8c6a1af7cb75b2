"""Notice, as a photograph comes in, that it was sent before or looks like another: a hint, never a verdict."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Q

from registry.methods import photo_hash
from registry.methods.photo_hash import PhotoHashes
from registry.models import Likeness, LikenessKind, Photo, PhotoHash

MOST_MET = 20_000
"""Rows that share a band: more are not read, so that a flood of like pictures cannot make a look-up long."""
MOST_KEPT = 10
"""Likenesses that are kept of one photo: the same file first, then the nearest."""


@dataclass(frozen=True)
class Sought:
    """What a picture's hashes are, None for a picture of nothing, and what it is like."""

    hashes: PhotoHashes | None
    alike: list[Likeness] = field(default_factory=list)


def likenesses(photo: Photo, thumbnail: bytes) -> Sought:
    """What the photo, which may not be saved yet, is like; `thumbnail` is its safe small copy. Queries: at most 3.

    The same file is found whoever sent it, a picture that looks alike only where another member did: one may
    photograph one's own item as often as one likes. Two that come in at the very same moment may miss each other.
    """
    hashes = photo_hash.hashes_of(thumbnail)
    found = same_file(photo)
    if hashes is not None:
        known = {likeness.earlier_id for likeness in found}
        found += [one for one in looking_alike(photo, hashes) if one.earlier_id not in known]
    return Sought(hashes, found[:MOST_KEPT])


def same_file(photo: Photo) -> list[Likeness]:
    """Queries: 1."""
    same = Photo.objects.filter(Q(upload_digest=photo.upload_digest) | Q(digest=photo.digest))
    first = same.exclude(pk=photo.pk).order_by("pk").values_list("pk", flat=True)[:MOST_KEPT]
    return [Likeness(earlier_id=pk, kind=LikenessKind.SAME_FILE, distance=0) for pk in first]


def looking_alike(photo: Photo, hashes: PhotoHashes) -> list[Likeness]:
    """Other members' photos, nearest first. Queries: 2."""
    nearest: dict[int, tuple[int, int]] = {}
    for pk, tile, away in near(hashes):
        nearest[pk] = min(nearest.get(pk, (away, tile)), (away, tile))
    others = Photo.objects.filter(pk__in=nearest).exclude(owner=photo.owner_id).exclude(pk=photo.pk)
    ranked = sorted((nearest[pk], pk) for pk in others.values_list("pk", flat=True))
    return [
        Likeness(
            earlier_id=pk,
            kind=LikenessKind.LIKE_A_PART if tile else LikenessKind.LOOKS_ALIKE,
            distance=away,
        )
        for (away, tile), pk in ranked[:MOST_KEPT]
    ]


def near(hashes: PhotoHashes) -> list[tuple[int, int, int]]:
    """Photo, tile and distance of every hash within NEAR that a band leads to, of MOST_MET at most. Queries: 1."""
    first, second, third = photo_hash.looked_up(hashes)
    rows = PhotoHash.objects.values_list("photo_id", "tile", "bits")
    met = list(
        rows.filter(first__in=first).union(
            rows.filter(second__in=second), rows.filter(third__in=third), all=True
        )[:MOST_MET]
    )
    if not met:
        return []
    away = photo_hash.least_distances([bits for _, _, bits in met], hashes.turned)
    return [(pk, tile, int(n)) for (pk, tile, _), n in zip(met, away, strict=True) if n <= photo_hash.NEAR]


def keep_likenesses(photo: Photo, sought: Sought) -> None:
    """The hashes and what was found, once the photo has its row. Of two photos the one with the higher key is later."""
    if sought.hashes is not None:
        hashes = (sought.hashes.whole, *sought.hashes.tiles)
        PhotoHash.objects.bulk_create(hash_row(photo, tile, bits) for tile, bits in enumerate(hashes))
    for likeness in sought.alike:
        later, earlier = sorted((photo.pk, likeness.earlier_id), reverse=True)
        likeness.photo_id, likeness.earlier_id = later, earlier
    # A photo found may have gone with its draft meanwhile.
    there = set(
        Photo.objects.filter(pk__in=[one.earlier_id for one in sought.alike]).values_list("pk", flat=True)
    )
    kept = [one for one in sought.alike if one.earlier_id in there]
    Likeness.objects.bulk_create(kept, ignore_conflicts=True)


def hash_row(photo: Photo, tile: int, bits: int) -> PhotoHash:
    first, second, third = photo_hash.bands(bits, of_tile=tile > 0)
    return PhotoHash(
        photo=photo, tile=tile, bits=photo_hash.signed(bits), first=first, second=second, third=third
    )


def compare_photo(*, photo: Photo, at: datetime) -> Sought:
    """For a photo that came in before photos were compared. Derived from its file: no journal line.

    Errors: FileNotFoundError where its file is gone.
    """
    with default_storage.open(photo.stored_as("320")) as file:
        sought = likenesses(photo, file.read())
    with transaction.atomic():
        if Photo.objects.filter(pk=photo.pk, compared_at=None).update(compared_at=at):
            keep_likenesses(photo, sought)
    return sought
