"""Which other photographs one is like, for reviewers: a hint to look twice, and no word against anybody.

A pair is shown to who may see both of its photographs; so no draft is ever told of by a likeness.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Prefetch, Q, QuerySet
from django.db.models.functions import Coalesce

from registry.models import Likeness, LikenessKind, Member, Photo, is_published
from registry.sentences import Sentence

MOST = 10
"""Shown of one photograph in either direction."""
LOOKS = {
    LikenessKind.SAME_FILE: {
        (True, True): Sentence("This is the same file as one sent earlier by the same member."),
        (True, False): Sentence("This is the same file as one sent earlier by another member."),
        (False, True): Sentence("This is the same file as one sent later by the same member."),
        (False, False): Sentence("This is the same file as one sent later by another member."),
    },
    LikenessKind.LOOKS_ALIKE: {
        (True, True): Sentence("This picture looks like one sent earlier by the same member."),
        (True, False): Sentence("This picture looks like one sent earlier by another member."),
        (False, True): Sentence("This picture looks like one sent later by the same member."),
        (False, False): Sentence("This picture looks like one sent later by another member."),
    },
    LikenessKind.LIKE_A_PART: {
        (True, True): Sentence(
            "This picture, or a part of it, looks like one sent earlier by the same member."
        ),
        (True, False): Sentence(
            "This picture, or a part of it, looks like one sent earlier by another member."
        ),
        (False, True): Sentence(
            "This picture, or a part of it, looks like one sent later by the same member."
        ),
        (False, False): Sentence(
            "This picture, or a part of it, looks like one sent later by another member."
        ),
    },
}
"""By kind; whether the other came earlier, and from the same member."""


@dataclass(frozen=True)
class Alike:
    """Another photograph that this one is like. `distance`: bits of 64 in which their hashes differ."""

    photo: Photo
    kind: str
    distance: int
    is_earlier: bool
    is_same_owner: bool

    @property
    def words(self) -> str:
        """`This picture looks like one sent earlier by another member.`"""
        return LOOKS[LikenessKind(self.kind)][self.is_earlier, self.is_same_owner]


def with_likenesses(photos: QuerySet[Photo], reader: Member | None) -> QuerySet[Photo]:
    """The photos, for `alike`. Queries: 2 more, none where the reader is no reviewer."""
    return photos.prefetch_related(*both_ways(reader)) if may_see(reader) else photos


def note_likenesses(photos: Iterable[Photo], reader: Member | None) -> None:
    """The same for photos that were read before. Queries: 1, none for no photo or where the reader is no reviewer."""
    noted = {photo.pk: photo for photo in photos}
    if not noted or not may_see(reader):
        return
    to_earlier = Q(photo__in=noted) & may_be_seen("earlier", reader)
    to_later = Q(earlier__in=noted) & may_be_seen("photo", reader)
    pairs = list(told(Likeness.objects.filter(to_earlier | to_later))[: 2 * MOST * len(noted)])
    for pk, photo in noted.items():
        photo.likenesses_seen = [pair for pair in pairs if pair.photo_id == pk][:MOST]  # type: ignore[attr-defined]
        photo.later_likenesses_seen = [pair for pair in pairs if pair.earlier_id == pk][:MOST]  # type: ignore[attr-defined]


def may_see(reader: Member | None) -> bool:
    return reader is not None and reader.is_reviewer


def both_ways(reader: Member | None) -> list[Prefetch[Any]]:
    ways = (
        ("likenesses", "earlier", "likenesses_seen"),
        ("later_likenesses", "photo", "later_likenesses_seen"),
    )
    return [Prefetch(name, shown(other, reader)[:MOST], to_attr=attribute) for name, other, attribute in ways]


def shown(other: str, reader: Member | None) -> QuerySet[Likeness]:
    """Pairs whose other photograph the reader may see: sent and not taken down, or their own. Nearest first."""
    return told(Likeness.objects.filter(may_be_seen(other, reader)))


def may_be_seen(photo: str, reader: Member | None) -> Q:
    mine = Q(**{f"{photo}__owner": reader}) if reader is not None else Q()
    return (is_published(f"{photo}__") | mine) & Q(**{f"{photo}__taken_down_at": None})


def told(pairs: QuerySet[Likeness]) -> QuerySet[Likeness]:
    """With what is said of them, nearest first."""
    came = {"came_at": sent_at("photo"), "earlier_came_at": sent_at("earlier")}
    return pairs.select_related("photo__owner", "earlier__owner").annotate(**came).order_by("distance", "pk")


def sent_at(photo: str) -> Coalesce:
    """When others could see it first."""
    return Coalesce(f"{photo}__submission__sent_at", f"{photo}__added_at")


def alike(photo: Photo) -> list[Alike] | None:
    """What it is like, as noted for the reader; None where the reader is not told. Queries: none."""
    if not hasattr(photo, "likenesses_seen"):
        return None
    found = [alike_of(one, one.earlier, photo) for one in photo.likenesses_seen]
    later: list[Any] = photo.later_likenesses_seen  # type: ignore[attr-defined]
    return found + [alike_of(one, one.photo, photo) for one in later]


def alike_of(pair: Any, other: Photo, photo: Photo) -> Alike:
    came = {pair.photo_id: pair.came_at, pair.earlier_id: pair.earlier_came_at}
    is_earlier = (came[other.pk], other.pk) < (came[photo.pk], photo.pk)
    return Alike(other, pair.kind, pair.distance, is_earlier, other.owner_id == photo.owner_id)


def lately_alike() -> list[Likeness]:
    """The newest pairs of different members' photographs, for moderators. Queries: 1."""
    pairs = Likeness.objects.filter(
        is_published("photo__"),
        is_published("earlier__"),
        photo__taken_down_at=None,
        earlier__taken_down_at=None,
    )
    pairs = pairs.exclude(photo__owner=F("earlier__owner")).select_related("photo__owner", "earlier__owner")
    return list(pairs.order_by("-pk")[:MOST])
