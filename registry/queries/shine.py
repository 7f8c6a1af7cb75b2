"""How shiny the paint in a mark looks, read from its photograph when asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.core.files.storage import default_storage
from django.db.models import QuerySet

from registry.errors import NotFound
from registry.models import Mark, Photo, View

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

    Errors: NotFound for a mark on a detail that is no finish, or where the picture's file is gone.
    """
    from registry.methods.finish import NoCue, shine_cue

    if not is_judged(mark):
        raise NotFound("Shine is judged of marks on a finish alone; this one shows another kind of detail.")
    try:
        cue = shine_cue(pixels_of(mark), raking=View.RAKING_LIGHT in mark.photo.views)
    except NoCue as none:
        return Shine(mark, None, str(none))
    return Shine(mark, cue, cue.sentence)


def pixels_of(mark: Mark) -> Any:
    """What lies inside the mark, sRGB 0 to 1, (height, width, 3); decoded no finer than is looked at."""
    import numpy as np
    from PIL import Image

    photo = mark.photo
    shorter = min(mark.w * photo.width, mark.h * photo.height) / 10_000
    scale = min(1.0, _SIDE / max(shorter, 1.0))
    try:
        with default_storage.open(photo.stored_as()) as file, Image.open(file, formats=["JPEG"]) as picture:
            picture.draft("RGB", (int(photo.width * scale), int(photo.height * scale)))
            across, down = picture.width / 10_000, picture.height / 10_000
            box = (mark.x * across, mark.y * down, (mark.x + mark.w) * across, (mark.y + mark.h) * down)
            inside = picture.crop(tuple(round(edge) for edge in box))  # type: ignore[arg-type]
            return np.asarray(inside.convert("RGB"), float) / 255
    except FileNotFoundError as gone:
        raise NotFound("The file of this photo is not there.") from gone
