"""The part of a picture that is compared, at a size that bounds the work, and its place in the whole picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from registry.sentences import Sentence

Floats = npt.NDArray[np.float64]
Box = tuple[float, float, float, float]
"""Left, top, width, height in percent of a picture (Media Fragments, `xywh=percent:`)."""

LONGEST = 1000  # pixels of the longer side that is looked at
LEAST = 48  # pixels of the shorter side of a region
WHOLE: Box = (0.0, 0.0, 100.0, 100.0)


class CannotCompare(ValueError):
    """Why two pictures are not laid one over the other, as a sentence for people; `code` for programs."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


@dataclass(frozen=True, slots=True)
class Frame:
    """`pixels`: (height, width, 3), uint8 sRGB. `to_percent`: 3 by 3, from its pixels to percent of the picture."""

    pixels: Any
    to_percent: Floats

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return self.pixels.shape[1], self.pixels.shape[0]

    @property
    def corners(self) -> Floats:
        """Clockwise from the top left, (4, 2), in its pixels."""
        wide, tall = self.size
        return np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]], float)


def frame_of(picture: Any, region: Box | None, name: str, is_mirrored: bool = False) -> Frame:
    """Cut `region` out of `picture`, no longer than 1000 pixels; never enlarged.

    Shapes: `picture` (height, width, 3), uint8 sRGB. Units: `region` in percent of the picture.
    Errors: CannotCompare (`region_too_small`) for fewer than 48 pixels on a side; ValueError for another shape or a
            region that leaves the picture.
    """
    import cv2

    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise ValueError("A picture has height, width and three channels of eight bits.")
    x, y, w, h = region or WHOLE
    if not (0 <= x and 0 <= y and 0 < w and 0 < h and x + w <= 100.005 and y + h <= 100.005):
        raise ValueError(f"The region {region} leaves the picture: left, top, width, height in percent.")
    tall, wide = picture.shape[:2]
    left, top = int(x * wide / 100), int(y * tall / 100)
    right, bottom = round((x + w) * wide / 100), round((y + h) * tall / 100)
    cut = picture[top:bottom, left:right]
    if min(cut.shape[:2]) < LEAST:
        raise CannotCompare(
            "region_too_small",
            Sentence(
                "Picture %(name)s has %(wide)s x %(tall)s pixels there; at least %(least)s on each side are needed. "
                "Choose a larger region.",
                name=name,
                wide=cut.shape[1],
                tall=cut.shape[0],
                least=LEAST,
            ),
        )
    scale = min(1.0, LONGEST / max(cut.shape[:2]))
    size = max(1, round(cut.shape[1] * scale)), max(1, round(cut.shape[0] * scale))
    small = cv2.resize(cut, size, interpolation=cv2.INTER_AREA) if scale < 1 else np.ascontiguousarray(cut)
    across, down = (right - left) / size[0] * 100 / wide, (bottom - top) / size[1] * 100 / tall
    to_percent = np.array([[across, 0, left * 100 / wide], [0, down, top * 100 / tall], [0, 0, 1]], float)
    if is_mirrored:
        small = np.ascontiguousarray(small[:, ::-1])
        to_percent = to_percent @ np.array([[-1, 0, size[0]], [0, 1, 0], [0, 0, 1]], float)
    return Frame(small, to_percent)


def mapped(matrix: Floats, points: Floats) -> Floats:
    """Points (n, 2) through a homography (3, 3)."""
    lifted = np.c_[points, np.ones(len(points))] @ matrix.T
    return np.asarray(lifted[:, :2] / lifted[:, 2:], float)


def box_round(points: Floats) -> Box:
    """The smallest upright box round points in percent, inside the picture."""
    low, high = np.clip(points.min(axis=0), 0, 100), np.clip(points.max(axis=0), 0, 100)
    wide, tall = high - low
    return round(float(low[0]), 2), round(float(low[1]), 2), round(float(wide), 2), round(float(tall), 2)
