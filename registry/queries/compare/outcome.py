"""The comparison of two photographs, worked out once: their pictures never change."""

from __future__ import annotations

import hashlib
import threading
from dataclasses import asdict, dataclass, field
from typing import Any

from django.core.cache import caches
from django.core.files.storage import default_storage
from django.db.models import Q

from registry.errors import Busy, NotFound
from registry.methods.compare import WHOLE, Box, CannotCompare, compare, touches
from registry.methods.compare.frame import LONGEST
from registry.models import Mark, Photo

EDITION = 1
"""Raised whenever the method answers otherwise, so that nothing kept from before is believed."""
WAITING = 4
PATIENCE = 20  # seconds
_places = threading.BoundedSemaphore(WAITING)
_at_work = threading.Lock()  # one comparison at a time in each process, however many ask


@dataclass(frozen=True)
class View:
    """A photograph, or a region of it in hundredths of a percent."""

    photo: Photo
    xywh: tuple[int, int, int, int] | None = None

    @property
    def box(self) -> Box:
        return percent(self.xywh) if self.xywh else WHOLE

    @property
    def fragment(self) -> str:
        return fragment(self.box)


@dataclass
class Seen:
    """A place where they differ, in percent of each whole picture, with the marks that touch it."""

    a: Box
    b: Box
    score: float
    cue: str
    marks: list[Mark] = field(default_factory=list)

    @property
    def a_fragment(self) -> str:
        return fragment(self.a)

    @property
    def b_fragment(self) -> str:
        return fragment(self.b)


@dataclass(frozen=True)
class Compared:
    """`homography` leads from percent of `b` to percent of `a`; None where they do not fit, and `why` says why."""

    a: View
    b: View
    is_mirrored: bool
    homography: tuple[float, ...] | None
    inliers: int
    matches: int
    agreement: float | None
    is_same: bool
    differences: list[Seen]
    code: str = ""
    why: str = ""

    @property
    def is_aligned(self) -> bool:
        return self.homography is not None

    @property
    def refusal(self) -> dict[str, str] | None:
        return None if self.is_aligned else {"code": self.code, "detail": self.why}


def compared(a: View, b: View, is_mirrored: bool = False) -> Compared:
    """Lay `b` over `a`. Queries: 1, for the marks. Errors: Busy, where too many are being worked out.

    The work does not grow with the registry, nor with the pictures: they are read no larger than is looked at.
    """
    name = key(a, b, is_mirrored)
    found = caches["compared"].get(name)
    return with_marks(a, b, is_mirrored, worked_out(name, a, b, is_mirrored) if found is None else found)


def kept(a: View, b: View, is_mirrored: bool = False) -> Compared | None:
    """The same where it was worked out before; never works. Queries: 1 or none."""
    found = caches["compared"].get(key(a, b, is_mirrored))
    return None if found is None else with_marks(a, b, is_mirrored, found)


def key(a: View, b: View, is_mirrored: bool) -> str:
    told = repr((EDITION, a.photo.digest, a.box, b.photo.digest, b.box, is_mirrored))
    return hashlib.sha256(told.encode()).hexdigest()


def worked_out(name: str, a: View, b: View, is_mirrored: bool) -> dict[str, Any]:
    if not _places.acquire(blocking=False):
        raise Busy()
    try:
        if not _at_work.acquire(timeout=PATIENCE):
            raise Busy()
        try:
            found = caches["compared"].get(name)  # somebody may have asked the same a moment ago
            if found is None:
                found = result(a, b, is_mirrored)
                caches["compared"].set(name, found)
            return dict(found)
        finally:
            _at_work.release()
    finally:
        _places.release()


def result(a: View, b: View, is_mirrored: bool) -> dict[str, Any]:
    """What is kept: plain values."""
    first = picture(a)
    second = first if a.photo.digest == b.photo.digest and a.box == b.box else picture(b)
    try:
        return asdict(compare(first, second, a.box, b.box, is_mirrored))
    except CannotCompare as refusal:
        return {"code": refusal.code, "why": refusal.args[0]}


def picture(view: View) -> Any:
    """The stored picture as pixels, decoded no larger than its region needs to be looked at."""
    import cv2
    import numpy as np

    photo, (_, _, w, h) = view.photo, view.box
    side = max(w * photo.width, h * photo.height) / 100
    fewer = next(n for n in (8, 4, 2, 1) if n == 1 or side / n >= LONGEST)
    how = {1: cv2.IMREAD_COLOR, 2: cv2.IMREAD_REDUCED_COLOR_2, 4: cv2.IMREAD_REDUCED_COLOR_4}
    try:
        with default_storage.open(photo.stored_as()) as file:
            data = np.frombuffer(file.read(), np.uint8)
    except FileNotFoundError:
        data = np.empty(0, np.uint8)
    pixels = cv2.imdecode(data, how.get(fewer, cv2.IMREAD_REDUCED_COLOR_8)) if data.size else None
    if pixels is None:
        raise NotFound(f"The file of photograph {photo.public_id} is missing. Tell a moderator.")
    return cv2.cvtColor(pixels, cv2.COLOR_BGR2RGB)


def with_marks(a: View, b: View, is_mirrored: bool, found: dict[str, Any]) -> Compared:
    if "why" in found:
        return Compared(a, b, is_mirrored, None, 0, 0, None, False, [], found["code"], found["why"])
    places = [Seen(one["a"], one["b"], one["score"], one["cue"]) for one in found["differences"]]
    for mark in marks_of(a, b) if places else ():
        box = percent((mark.x, mark.y, mark.w, mark.h))
        for place in places:
            on_a = mark.photo_id == a.photo.pk and touches(box, place.a)
            if on_a or (mark.photo_id == b.photo.pk and touches(box, place.b)):
                place.marks.append(mark)
    told = {name: found[name] for name in ("homography", "inliers", "matches", "agreement", "is_same")}
    return Compared(a, b, is_mirrored, **told, differences=places)


def marks_of(a: View, b: View) -> list[Mark]:
    """Marks that stand, on claims that do."""
    open_ = Q(claim__closed_at=None) | Q(claim__merged_into__isnull=False, claim__merged_into__closed_at=None)
    marks = Mark.objects.standing().filter(open_, photo__in=[a.photo, b.photo])
    related = ("photo", "claim__trait__merged_into", "claim__state__merged_into", "claim__variant")
    return list(marks.select_related(*related).order_by("pk"))


def percent(xywh: tuple[int, int, int, int]) -> Box:
    x, y, w, h = (part / 100 for part in xywh)
    return x, y, w, h


def fragment(box: Box) -> str:
    """Media Fragments URI 1.0, section 4.2.2."""
    return "xywh=percent:" + ",".join(f"{part:g}" for part in box)
