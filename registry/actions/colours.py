"""Measure colours: point out the chart in a photograph, and read the marks on it by that.

Pixels are read before or after a transaction, never inside: nobody waits for them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

import numpy as np
from django.core.cache import cache
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from PIL import Image

from registry.errors import AlreadyClosed, InvalidField, NotFound, NotPermitted
from registry.methods.colour import Calibration, place, region_colour
from registry.methods.colour.detect import find_card, find_chart
from registry.methods.colour.spaces import Floats
from registry.methods.colour.verdict import measuring_error
from registry.models import (
    Chart,
    ChartKind,
    JournalEntry,
    Mark,
    MarkColour,
    Member,
    Photo,
    State,
    TraitKind,
    View,
)
from registry.models.colours import hundredths
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled
from .quotas import admit, look_ahead

LONGEST = 1600  # pixels: larger pictures are read at this size
KEPT_SECONDS = 3600
_TRIES = 3
_OVER = 200  # hundredths of a percent: a frame may be cut off while every patch is inside
REMEDY = Sentence(
    "Put four corners on the picture, each as two numbers from 0 to 100: percent from "
    "its left and from its top."
)

Percents = Sequence[Sequence[float]]


@dataclass(frozen=True)
class Found:
    """What a search proposes. `percents`: the corners in percent of the picture."""

    kind: str
    percents: list[tuple[float, float]]


def look_for_chart(*, photo: Photo, by: Member, at: datetime) -> Found:
    """A 24-patch chart in the picture, else what may be a grey card. Keeps no row: somebody has to look at it.

    Errors: AccountClosed, NotFound, NotPermitted, AlreadyClosed; InvalidField where none is seen whole.
    """
    member = active(by)
    refuse_unseen(photo, by)
    refuse_others(photo, member)
    picture = pixels(photo)
    for kind in (ChartKind.PATCH_CHART, ChartKind.GREY_CARD):
        if corners := searched(photo, picture, kind):
            return Found(kind, in_percent(corners, picture))
    remedy = Sentence("No chart or grey card is seen whole in it. If there is one, point out its corners.")
    raise InvalidField("corners", None, remedy)


def place_chart(
    *, photo: Photo, by: Member, at: datetime, kind: str, corners: Percents | None = None
) -> Chart:
    """Point out the chart of a photo, and measure its marks anew by it. `corners`: percent, in any order.

    A 24-patch chart may be left for the program to find: it proves itself by its colours. A grey card cannot. `none`
    says that there is no chart, and takes back one that was none.
    Errors: those of `fit_chart`.
    """
    return keep_chart(fit_chart(photo=photo, by=by, at=at, kind=kind, corners=corners), by)


def fit_chart(*, photo: Photo, by: Member, at: datetime, kind: str, corners: Percents | None = None) -> Chart:
    """The same, not kept yet: what takes long, before any transaction. `keep_chart` keeps it.

    Errors: AccountClosed, NotFound, NotPermitted, AlreadyClosed, TooMany; InvalidField where the corners enclose no
    such chart.
    """
    member = active(by)
    refuse_unseen(photo, by)
    refuse_others(photo, member)
    look_ahead(by, "measurements", at)
    kind = wording.choice("kind", kind, ChartKind)
    chart = Chart(photo=photo, kind=kind, by=by, at=at)
    if kind != ChartKind.NONE:
        given = [] if corners is None and kind == ChartKind.PATCH_CHART else four(corners)
        fit(chart, pixels(photo), given)
    return chart


@journalled
def keep_chart(chart: Chart, by: Member | None) -> Chart:
    """The row, under the photo's lock. Without a member the program found it, or looked in vain."""
    if by is not None:
        refuse_others(chart.photo, admit(by, "measurements", chart.at))
    chart.photo = locked_photo(chart.photo)
    chart.save()
    detail = {"kind": chart.kind, "corners": chart.corners, "residual": chart.residual}
    JournalEntry.objects.record(
        by=by, verb="photo.chart_placed", about=chart.photo, at=chart.at, detail=detail
    )
    if by is not None:
        measure_later(chart.photo, chart.at)
    return chart


def measure_later(photo: Photo, at: datetime) -> None:
    """Once what was said of the photo is kept. A fault there is logged; `manage.py measure_colours` makes up for it."""
    transaction.on_commit(partial(measure_photo, photo=photo, at=at), robust=True)


def measure_photo(*, photo: Photo, at: datetime) -> int:
    """Measure the marks of one photo that are not measured by its latest chart yet; answers how many that were.

    Where its owner says that a 24-patch chart is in it, and nobody pointed it out, it is looked for first. A photo
    whose file is missing is passed over: `check_integrity` tells of it.
    """
    for _ in range(_TRIES):  # a chart may be placed while its forerunner's marks are read
        shown = Photo.objects.shown().filter(pk=photo.pk).first()
        if shown is None or not to_measure(shown).exists():
            return 0
        try:
            picture = pixels(shown)
        except FileNotFoundError:
            return 0
        chart = latest_chart(shown) or found_alone(shown, picture, at)
        calibration = calibration_by(chart, picture)
        measured = [colour_of(mark, picture, chart, calibration, at) for mark in to_measure(shown)]
        if keep_colours(shown, chart, measured):
            return len(measured)
    return 0


@transaction.atomic
def keep_colours(photo: Photo, chart: Chart | None, measured: list[MarkColour]) -> bool:
    """Whether they were kept: not where another chart was placed meanwhile. Queries: 4."""
    if latest_chart(locked_photo(photo)) != chart:
        return False
    MarkColour.objects.filter(mark__in=[colour.mark_id for colour in measured]).delete()
    MarkColour.objects.bulk_create(measured)
    return True


# Rows ---------------------------------------------------------------------------------------------------------------


def refuse_unseen(photo: Photo, by: Member) -> None:
    if photo.taken_down_at:
        raise AlreadyClosed(Sentence("This photo was taken down by a moderator."))
    if not photo.is_published and photo.owner_id != by.pk:
        raise NotFound(Sentence("There is no such photo."), field="photo")


def may_place(photo: Photo, by: Member) -> bool:
    """Whether the photo's chart is theirs to point out: another one changes every colour measured in it."""
    return photo.owner_id == by.pk or by.is_reviewer or by.is_moderator


def refuse_others(photo: Photo, by: Member) -> None:
    if not may_place(photo, by):
        raise NotPermitted(
            Sentence("Only who added the photo, a reviewer or a moderator points out its chart.")
        )


def locked_photo(photo: Photo) -> Photo:
    """Errors: AlreadyClosed where it was taken down meanwhile."""
    now = Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    if now.taken_down_at:
        raise AlreadyClosed(Sentence("This photo was taken down by a moderator."))
    return now


def latest_chart(photo: Photo) -> Chart | None:
    """Queries: 1."""
    return Chart.objects.filter(photo=photo).order_by("-pk").first()


def measurable() -> QuerySet[Mark]:
    """Standing marks of details that are told by colour."""
    trait = Q(trait=OuterRef("claim__trait")) | Q(trait__merged_into=OuterRef("claim__trait"))
    coloured = State.objects.filter(trait, lab_l__isnull=False)
    return Mark.objects.standing().filter(Q(claim__trait__kind=TraitKind.COLOUR) | Exists(coloured))


def waiting() -> QuerySet[Mark]:
    """Marks without a colour, or with one by another chart than the latest."""
    latest = Chart.objects.filter(photo=OuterRef("photo")).order_by("-pk").values("pk")[:1]
    by_another = Q(latest__isnull=False) & (Q(colour__chart=None) | ~Q(colour__chart=F("latest")))
    return measurable().annotate(latest=latest).filter(Q(colour=None) | by_another)


def to_measure(photo: Photo) -> QuerySet[Mark]:
    return waiting().filter(photo=photo).order_by("pk")


def unmeasured() -> QuerySet[Photo]:
    """Photos with marks that wait to be measured. Queries: 1."""
    return Photo.objects.shown().filter(pk__in=waiting().values("photo")).order_by("pk")


def found_alone(photo: Photo, picture: Floats, at: datetime) -> Chart | None:
    """The 24-patch chart that the photo's owner says is there, pointed out by nobody.

    A search in vain is kept as a chart of kind `none`, so that the next mark does not set off another.
    """
    if View.PATCH_CHART not in photo.views:
        return None
    chart = Chart(photo=photo, kind=ChartKind.PATCH_CHART, at=at)
    try:
        fit(chart, picture, [])
    except InvalidField:
        chart = Chart(photo=photo, kind=ChartKind.NONE, at=at)
    return keep_chart(chart, None)


# Pixels -------------------------------------------------------------------------------------------------------------


def pixels(photo: Photo) -> Floats:
    """The stored picture, sRGB 0 to 1, `LONGEST` pixels at most. Shapes: (height, width, 3)."""
    with default_storage.open(photo.stored_as(), "rb") as file, Image.open(file, formats=["JPEG"]) as image:
        image.draft("RGB", (LONGEST, LONGEST))
        image.thumbnail((LONGEST, LONGEST), Image.Resampling.BOX)
        return np.asarray(image.convert("RGB")) / 255


def searched(photo: Photo, picture: Floats, kind: str) -> list[tuple[float, float]]:
    """Corners in pixels of the picture; empty where none is seen. Kept for a while: a picture never changes."""
    key = f"chart:{photo.digest}:{kind}"
    found: list[tuple[float, float]] | None = cache.get(key)
    if found is None:
        find = find_chart if kind == ChartKind.PATCH_CHART else find_card
        found = find(picture) or []
        cache.set(key, found, KEPT_SECONDS)
    return found


def fit(chart: Chart, picture: Floats, percents: Percents) -> Calibration:
    """What the chart makes of the picture; its corners in order, and how well they fit. No corners: look for them.

    Errors: InvalidField.
    """
    height, width = picture.shape[:2]
    corners = [(x / 100 * width, y / 100 * height) for x, y in percents]
    if not corners:
        corners = searched(chart.photo, picture, ChartKind.PATCH_CHART)
    if not corners:
        remedy = Sentence("No 24-patch chart is seen whole in the picture. Point out its four corners.")
        raise InvalidField("corners", None, remedy)
    placing: Callable[..., place.Placed] = (
        place.place_card if chart.kind == ChartKind.GREY_CARD else place.place_chart
    )
    try:
        ordered, calibration = placing(picture, corners)
    except ValueError as fault:
        raise InvalidField("corners", shown_corners(percents), fault.args[0]) from None
    if not chart.corners:
        chart.corners = [[hundredths(x), hundredths(y)] for x, y in in_percent(ordered, picture)]
        if calibration.is_full:
            chart.residual, chart.worst = hundredths(calibration.residual), hundredths(calibration.worst)
    return calibration


def calibration_by(chart: Chart | None, picture: Floats) -> Calibration | None:
    """By a chart that was placed before; nothing where there is none."""
    if chart is None or not chart.corners:
        return None
    try:
        return fit(chart, picture, chart.percents)
    except InvalidField:  # its corners were rounded, and it only just fitted
        return None


def colour_of(
    mark: Mark, picture: Floats, chart: Chart | None, calibration: Calibration | None, at: datetime
) -> MarkColour:
    """The colour of the marked region, or why it shows none."""
    height, width = picture.shape[:2]
    left, top = int(mark.x * width / 1e4), int(mark.y * height / 1e4)
    right, bottom = -int(-(mark.x + mark.w) * width // 1e4), -int(-(mark.y + mark.h) * height // 1e4)
    colour = MarkColour(mark=mark, chart=chart, at=at)
    try:
        found = region_colour(picture[top:bottom, left:right], calibration)
    except ValueError as fault:
        colour.trouble = str(fault)
        return colour
    colour.lab_l, colour.lab_a, colour.lab_b = (hundredths(part) for part in found.lab)
    colour.spread, colour.used, colour.pixels = (
        hundredths(found.spread),
        round(found.used * 1e4),
        found.pixels,
    )
    if calibration is not None:
        colour.error = hundredths(measuring_error(found, calibration))
    return colour


def four(corners: Any) -> list[tuple[float, float]]:
    """Four pairs of percent. Errors: InvalidField."""
    try:
        pairs = [(float(x), float(y)) for x, y in corners]
    except (TypeError, ValueError):
        raise InvalidField("corners", corners, REMEDY) from None
    least, most = -_OVER / 100, 100 + _OVER / 100
    if len(pairs) != 4 or not all(least <= part <= most for pair in pairs for part in pair):
        raise InvalidField("corners", shown_corners(pairs), REMEDY)
    return pairs


def in_percent(corners: Sequence[tuple[float, float]], picture: Floats) -> list[tuple[float, float]]:
    height, width = picture.shape[:2]
    return [(round(x / width * 100, 2), round(y / height * 100, 2)) for x, y in corners]


def shown_corners(percents: Percents) -> str:
    return "; ".join(f"{x:g},{y:g}" for x, y in percents)
