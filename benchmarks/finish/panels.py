"""The rendered panels, as the method sees them, with their truth."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "panels"


@dataclass(frozen=True)
class Marked:
    """One mark on one panel. `holds_streak`: whether the lamp's reflection lies where the mark was drawn."""

    file: str
    panel: dict[str, Any]
    pixels: Any
    roughness: float
    holds_streak: bool


def marked(of: str) -> Iterator[Marked]:
    """Every mark on the panels of a set: "fit", "held" or "no_lamp"."""
    truth = json.loads((FOLDER / "shine.json").read_text(encoding="utf-8"))
    for file, told in sorted(truth.items()):
        if told["set"] != of:
            continue
        picture = np.asarray(Image.open(FOLDER / file).convert("RGB")) / 255
        height, width = picture.shape[:2]
        for panel in told["panels"]:
            at = panel["streak_at"]
            for x, y, w, h in panel["boxes"]:
                rows = slice(int(y / 100 * height), int((y + h) / 100 * height) + 1)
                columns = slice(int(x / 100 * width), int((x + w) / 100 * width) + 1)
                holds = at is not None and max(abs(c) for c in at) < HELD_WITHIN
                yield Marked(file, panel, picture[rows, columns], panel["roughness"], holds)


HELD_WITHIN = 0.75
"""Of half a panel: a reflection farther out lies at or beyond the edge of its mark."""
