"""Two photographs of the same side laid one over the other, and what differs between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .align import align
from .differ import difference_map
from .frame import WHOLE, Box, CannotCompare, frame_of
from .regions import RegionDifference, region_differences
from .touch import touches

__all__ = ["WHOLE", "Box", "CannotCompare", "Comparison", "RegionDifference", "compare", "touches"]

Matrix = tuple[float, float, float, float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class Comparison:
    """`homography`: row by row, leads from a point of `b` to its place in `a`, both in percent of the whole picture.

    `inliers` of `matches` points fit it. `agreement`: the share of what has a pattern that is the same in both.
    """

    homography: Matrix
    inliers: int
    matches: int
    agreement: float
    differences: tuple[RegionDifference, ...]
    is_same: bool = False


def compare(
    a: Any, b: Any, region_a: Box | None = None, region_b: Box | None = None, is_mirrored: bool = False
) -> Comparison:
    """Lay `b` over `a` and list where they differ. Work and memory are bounded whatever the pictures' sizes.

    Shapes: pictures (height, width, 3), uint8 sRGB; they may be one and the same with two regions.
    Units:  regions in percent: left, top, width, height. `is_mirrored`: `b` shows the other side, mirrored.
    Errors: CannotCompare with a code and the reason in words; ValueError for what is no picture or no region.
    Source: see `align` and `difference_map`. Depth is allowed for only a little: photograph the same side from about
            the same place.

    A difference is a place to look at, not a finding: a turned wheel and a reflection differ, too.
    """
    here = frame_of(a, region_a, "a")
    there = frame_of(b, region_b, "b", is_mirrored)
    is_same = here.pixels.shape == there.pixels.shape and bool((here.pixels == there.pixels).all())
    found = align(here, there)
    seen = difference_map(here, there, found.matrix)
    whole = here.to_percent @ found.matrix @ np.linalg.inv(there.to_percent)
    whole = whole / whole[2, 2]
    return Comparison(
        homography=tuple(float(f"{value:.8g}") for value in whole.ravel()),  # type: ignore[arg-type]
        inliers=found.inliers,
        matches=found.matches,
        agreement=round(seen.agreement, 3),
        differences=() if is_same else region_differences(seen, here, there),
        is_same=is_same,
    )
