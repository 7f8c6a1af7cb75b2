"""From a difference map to regions that a person can look at, the plainest difference first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .differ import CUES, HALF, DifferenceMap
from .frame import Box, Frame, box_round, mapped

MOST_REGIONS = 12
_MOST_STRENGTH = 3.0
_LEAST_AREA = 0.0004  # of the first frame
_MOST_LOOKED_AT = 40
_JOIN = 0.012  # of the longer side: parts nearer than that are one region


@dataclass(frozen=True, slots=True)
class RegionDifference:
    """Where the pictures differ: `a` and `b` in percent of each whole picture.

    `score`: strength summed over the region, in percent of the compared frame (a region that fills one percent at
    twice the threshold scores 2). `cue`: what differs most: colour, lightness or pattern.
    """

    a: Box
    b: Box
    score: float
    cue: str


def region_differences(found: DifferenceMap, a: Frame, b: Frame) -> tuple[RegionDifference, ...]:
    """At most twelve regions, by score."""
    import cv2

    strength = np.minimum(found.strength, _MOST_STRENGTH)
    over = np.stack([cv2.boxFilter(np.ascontiguousarray(cue, np.float32), -1, (3, 3)) for cue in strength])
    counts = cv2.morphologyEx(
        (over.max(axis=0) >= 1).astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)
    )
    reach = max(3, round(_JOIN * max(counts.shape)))
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    number, labels, boxes, _ = cv2.connectedComponentsWithStats(
        cv2.morphologyEx(counts, cv2.MORPH_CLOSE, disc)
    )
    largest = sorted(range(1, number), key=lambda n: -int(boxes[n, cv2.CC_STAT_AREA]))[:_MOST_LOOKED_AT]
    regions = [_region(over, (labels == n) & (counts > 0), found, a, b) for n in largest]
    listed = sorted((one for one in regions if one), key=lambda one: (-one.score, one.a))
    return tuple(listed[:MOST_REGIONS])


def _region(over: Any, here: Any, found: DifferenceMap, a: Frame, b: Frame) -> RegionDifference | None:
    if here.sum() < _LEAST_AREA * here.size:
        return None
    rows, columns = np.nonzero(here)
    edges = np.array([[columns.min(), rows.min()], [columns.max() + 1, rows.max() + 1]], float) / HALF
    # Of where it came from the outermost hundredth is left out: a place that strayed must not blow the box up.
    there = np.percentile(found.source[here], (1, 99), axis=0) + [[-1, -1], [1, 1]]
    return RegionDifference(
        a=box_round(mapped(a.to_percent, edges)),
        b=box_round(mapped(b.to_percent, there)),
        score=round(float(over.max(axis=0)[here].sum()) * 100 / here.size, 3),
        cue=CUES[int(over[:, here].sum(axis=1).argmax())],
    )
