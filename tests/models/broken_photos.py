"""Rows about photographs that each break one named constraint."""

from __future__ import annotations

from registry import models as m
from tests import factories as f
from tests.opened import RemarkFactory

from .broken_rows import NOON, Breaking, twice


def hash_twice_of_one_tile() -> None:
    bits = {"bits": 1, "first": 0, "second": 0, "third": 1}
    twice(m.PhotoHash.objects.create, photo=f.PhotoFactory(), tile=0, **bits)


def alike(earlier: m.Photo, photo: m.Photo, kind: str = "same_file") -> m.Likeness:
    return m.Likeness.objects.create(photo=photo, earlier=earlier, kind=kind, distance=0)


def code_given_twice() -> None:
    twice(m.ShotCode.objects.create, submission=f.SubmissionFactory(), code="K7DXW4", issued_at=NOON)


def code_seen_twice() -> None:
    twice(m.CodeSeen.objects.create, photo=f.PhotoFactory(), by=f.ReviewerFactory(), at=NOON)


def alike_twice() -> None:
    twice(alike, earlier=f.PhotoFactory(), photo=f.PhotoFactory())


def alike_out_of_order() -> None:
    photo = f.PhotoFactory()
    alike(f.PhotoFactory(), photo)


def chart(kind: str) -> None:
    m.Chart.objects.create(photo=f.PhotoFactory(), kind=kind, at=NOON)


BROKEN_PHOTOS: list[tuple[str, Breaking]] = [
    ("remark_says_something", lambda: RemarkFactory(sentence="")),
    ("remark_inside_picture", lambda: RemarkFactory(w=0)),
    ("remark_inside_picture", lambda: RemarkFactory(y=9001, h=1000)),
    ("photo_withheld_is_taken_down", lambda: f.PhotoFactory(withheld_by_law=True)),
    ("chart_kind_known", lambda: chart("ruler")),
    ("chart_of_patches_says_how_it_fits", lambda: chart("patch_chart")),
    ("mark_colour_or_trouble", lambda: m.MarkColour.objects.create(mark=f.MarkFactory(), at=NOON)),
    ("photo_hash_once_per_tile", hash_twice_of_one_tile),
    ("likeness_kind_known", lambda: alike(f.PhotoFactory(), f.PhotoFactory(), "twin")),
    ("likeness_once", alike_twice),
    ("shot_code_once_per_report", code_given_twice),
    ("code_seen_once", code_seen_twice),
    ("likeness_in_order", alike_out_of_order),
]
