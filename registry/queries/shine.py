"""How shiny the paint in a mark looks, read from its photograph when asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.core.cache import cache
from django.core.files.storage import default_storage
from django.db.models import QuerySet

from registry.errors import NotFound
from registry.models import Mark, Photo, View
from registry.sentences import Sentence

if TYPE_CHECKING:
    from registry.methods.finish import ShineCue

RELATED = (
    "photo",
    "example",
    "claim__trait__merged_into",
    "claim__state__merged_into",
    "claim__variant__release__line__maker",
    "claim__variant__release__casting",
)
_SIDE = 128  # pixels of a mark's shorter side, at least: the method looks at no more
_MOST_PIXELS = 4_000_000  # decoded of one photo
KEPT_SECONDS = 3600


@dataclass(frozen=True, slots=True)
class Shine:
    """`cue` is None where the mark gives none; `sentence` tells either way."""

    mark: Mark
    cue: ShineCue | None
    sentence: str


def marks_to_judge(photos: QuerySet[Photo]) -> QuerySet[Mark]:
    """Marks that stand on one of these photos."""
    return Mark.objects.standing().filter(photo__in=photos).select_related(*RELATED)


def is_judged(mark: Mark) -> bool:
    return bool(mark.claim.trait.survivor.is_finish)


def judged(mark: Mark) -> Shine:
    """The cue from the highlight in the mark; the photo's views say whether a raking lamp lit it. Queries: none.

    Kept for a while by picture, region and lamp: anybody may ask, as often as they like.
    Errors: NotFound for a mark on a detail that is no finish, or where the picture's file is gone.
    """
    if not is_judged(mark):
        raise NotFound(
            Sentence("Shine is judged of marks on a finish alone; this one shows another kind of detail.")
        )
    is_raking = View.RAKING_LIGHT in mark.photo.views
    key = f"shine:{mark.photo.digest}:{mark.x}:{mark.y}:{mark.w}:{mark.h}:{is_raking:d}"
    told = cache.get(key)
    if told is None:
        told = looked_at(mark, is_raking)
        cache.set(key, told, KEPT_SECONDS)
    return Shine(mark, *told)


def looked_at(mark: Mark, is_raking: bool) -> tuple[ShineCue | None, str]:
    from registry.methods.finish import NoCue, shine_cue

    try:
        cue = shine_cue(pixels_of(mark), raking=is_raking)
    except NoCue as none:
        return None, none.args[0]
    return cue, cue.sentence


def pixels_of(mark: Mark) -> Any:
    """What lies inside the mark, sRGB 0 to 1, (height, width, 3); decoded no finer than is looked at.

    A JPEG can be decoded at a half, a quarter or an eighth of its size, and is where it would be too many pixels.
    """
    import numpy as np
    from PIL import Image

    photo = mark.photo
    shorter = min(mark.w * photo.width, mark.h * photo.height) / 10_000
    needed = max(part for part in (1, 2, 4, 8) if part == 1 or shorter / part >= _SIDE)
    bounded = next((part for part in (1, 2, 4) if photo.width * photo.height <= _MOST_PIXELS * part**2), 8)
    part = max(needed, bounded)
    try:
        with default_storage.open(photo.stored_as()) as file, Image.open(file, formats=["JPEG"]) as picture:
            picture.draft("RGB", (max(1, photo.width // part), max(1, photo.height // part)))
            across, down = picture.width / 10_000, picture.height / 10_000
            box = (mark.x * across, mark.y * down, (mark.x + mark.w) * across, (mark.y + mark.h) * down)
            inside = picture.crop(tuple(round(edge) for edge in box))  # type: ignore[arg-type]
            return np.asarray(inside.convert("RGB"), float) / 255
    except FileNotFoundError as gone:
        raise NotFound(Sentence("The file of this photo is not there.")) from gone
