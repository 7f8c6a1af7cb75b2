"""A release in two blues, and rendered photographs of both beside a chart, as members would have sent them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from registry import actions
from registry.models import Chart, Claim, Mark, MarkColour, Photo, Variant
from tests.factories import StateFactory, TraitFactory
from tests.path import Scene, claim_on, now

PICTURES = Path(__file__).resolve().parents[1] / "fixtures" / "pictures"
PAIR, SWAPPED = "lg25_a_b_pair_front_left.jpg", "lg25_b_a_swapped_front_left.jpg"
NAVY, INDIGO = "lg25_a_2", "lg25_b_2"
"""The two items in both pictures."""


@cache
def truth() -> dict[str, Any]:
    return json.loads((PICTURES / "truth.json").read_text())["pictures"]


@cache
def rendered(name: str) -> Any:
    """Pixels of a rendered picture, 0 to 1."""
    return np.asarray(Image.open(PICTURES / name).convert("RGB")) / 255


def as_jpeg(pixels: Any) -> bytes:
    written = BytesIO()
    Image.fromarray(np.round(np.clip(pixels, 0, 1) * 255).astype(np.uint8)).save(written, "JPEG", quality=92)
    return written.getvalue()


def spot(name: str, item: str) -> tuple[int, int, int, int]:
    """An even part below the door's window that mirrors little, in hundredths of a percent; by eye."""
    x, y, w, h = truth()[name]["examples"][item]["traits"]["body"]["box"]
    return round(100 * (x + 0.30 * w)), round(100 * (y + 0.59 * h)), 200, 250


def tint(marks: Iterable[Mark]) -> None:
    """A colour on each mark, as a grey card in its picture would have it."""
    for mark in marks:
        given = {"photo": mark.photo, "kind": "grey_card", "by": mark.photo.owner, "at": now()}
        chart = Chart.objects.filter(photo=mark.photo).first() or Chart.objects.create(**given)
        lab = {"lab_l": 4100, "lab_a": 120, "lab_b": 180, "error": 50, "used": 9000, "pixels": 400}
        given = {"chart": chart, "at": now(), **lab, "trouble": ""}
        MarkColour.objects.update_or_create(mark=mark, defaults=given)


@dataclass
class Blues:
    """`body` has the two blues of the scenario and a red; `navy` and `indigo` are variants, each of one example."""

    scene: Scene = field(default_factory=Scene)

    def __post_init__(self) -> None:
        line = self.scene.release.line
        self.body = TraitFactory(
            line=line, key="body", name="Body", kind="colour", place="body", adopted_by=self.scene.release
        )
        labs = {"navy": (1900, 300, -2400), "indigo": (2500, 1800, -4200), "red": (4200, 5200, 3200)}
        self.states = {
            key: StateFactory(
                trait=self.body,
                key=key,
                name=f"harbour {key}",
                **dict(zip(("lab_l", "lab_a", "lab_b"), lab, strict=True)),
                lab_tolerance=300,
            )
            for key, lab in labs.items()
        }
        self.navy = self.scene.report(self.states["navy"])
        self.indigo = self.scene.report(self.states["indigo"], base=self.navy, cause="running_change")
        self.examples = {
            NAVY: self.scene.example(self.scene.author),
            INDIGO: self.scene.example(self.scene.author),
        }

    def variant(self, item: str) -> Variant:
        return self.navy if item == NAVY else self.indigo

    def photo(self, data: bytes, *views: str) -> Photo:
        """Of both items, from a report that was sent."""
        made = self.scene.photo(*self.examples.values(), views=views, submission__variant=self.navy)
        other = actions.attach_photo(by=self.scene.author, at=now(), data=data, submission=self.scene.draft())
        Photo.objects.filter(pk=made.pk).update(
            digest=other.digest, upload_digest=other.digest, width=other.width, height=other.height
        )
        made.refresh_from_db()
        return made

    def mark(self, photo: Photo, item: str, xywh: tuple[int, int, int, int]) -> Mark:
        claim: Claim = claim_on(self.variant(item), self.body)
        return actions.mark_region(
            photo=photo, example=self.examples[item], claim=claim, xywh=xywh, by=self.scene.author, at=now()
        )

    def pictured(self, name: str = PAIR, *views: str, pixels: Any = None) -> tuple[Photo, list[Mark]]:
        """A rendered picture with a mark on each body."""
        data = (PICTURES / name).read_bytes() if pixels is None else as_jpeg(pixels)
        photo = self.photo(data, *views)
        return photo, [self.mark(photo, item, spot(name, item)) for item in (NAVY, INDIGO)]
