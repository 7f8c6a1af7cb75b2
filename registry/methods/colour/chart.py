"""What a grey card and a 24-patch chart look like, and how to read one from a picture by its four corners.

Source: CIELAB (D50) of the 24 patches as published by the chart's manufacturer in 2005 (xyY) and in Pascale D.
(2006), RGB coordinates of the Macbeth ColorChecker; the chart itself: McCamy, Marcus and Davidson 1976. The grey
card reflects 18 %: L* = 116 * 0.18^(1/3) - 16 = 49.5 by the definition of CIELAB.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from registry.sentences import Sentence

from .spaces import Floats, decode, middle

PATCHES: Floats = np.array(
    [
        [37.99, 13.56, 14.05], [65.71, 18.14, 17.81], [49.93, -4.91, -21.94], [43.14, -13.10, 21.88],
        [55.11, 8.84, -25.41], [70.72, -33.39, -0.23], [62.66, 36.07, 57.07], [40.01, 10.42, -45.99],
        [51.13, 48.24, 16.25], [30.33, 23.00, -21.61], [72.53, -23.69, 57.26], [71.94, 19.37, 67.85],
        [28.77, 14.18, -50.31], [55.26, -38.32, 31.35], [42.11, 53.38, 28.19], [81.73, 4.04, 79.84],
        [51.94, 50.00, -14.58], [51.04, -28.65, -28.65], [96.54, -0.46, 1.16], [81.26, -0.64, -0.37],
        [66.76, -0.72, -0.53], [50.86, -0.14, -0.29], [35.65, -0.43, -1.24], [20.48, -0.07, -0.99],
    ]
)  # fmt: skip
"""The 24 patches in reading order, white to black in the last row."""
ROWS, COLUMNS = 4, 6
CYAN = 17
"""The one patch that lies outside sRGB: a camera's picture has clipped it, so it is left out."""
GREY_CARD: Floats = np.array([[49.5, 0.0, 0.0]])

_BORDER = 0.045  # of the chart's width, round all patches
_INNER = 0.5  # of a patch's width and height: the part that is read
_CLIPPED = 250 / 255
_OVER = 0.02  # of the picture: a frame may be cut off while every patch is inside

Corners = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Reading:
    """Colours read off a chart or a card: linear light beside what it should be, in CIELAB (D50).

    Shapes: n patches, (n, 3) each. `spread`: standard deviation of the light inside each patch, (n,).
    """

    light: Floats
    truth: Floats
    spread: Floats


def read_chart(picture: Floats, corners: Corners) -> Reading:
    """The patches of a 24-patch chart whose outer corners lie at these pixels, clockwise from the brown patch.

    Shapes: `picture` (height, width, 3), sRGB 0 to 1; four corners (x, y).
    Errors: ValueError where a corner lies outside the picture, or too few patches are neither clipped nor dark.
    """
    _check_corners(picture, corners)
    samples = [_sample(picture, corners, box) for box in _patch_boxes()]
    kept = [
        n
        for n, pixels in enumerate(samples)
        if n != CYAN and len(pixels) >= 4 and np.median(pixels, axis=0).max() < _CLIPPED
    ]
    if len(kept) < 12:
        remedy = Sentence(
            "Only %(read)s of the 24 patches can be read: the others are burnt out or too small. "
            "Take the picture a little darker, or move nearer.",
            read=len(kept),
        )
        raise ValueError(remedy)
    light = [decode(samples[n]) for n in kept]
    return Reading(
        light=np.array([middle(pixels) for pixels in light]),
        truth=PATCHES[kept],
        spread=np.array([pixels.std(axis=0).mean() for pixels in light]),
    )


def read_card(picture: Floats, corners: Corners) -> Reading:
    """The grey of a card whose corners lie at these pixels. Shapes and errors as of `read_chart`."""
    _check_corners(picture, corners)
    pixels = _sample(picture, corners, (0.2, 0.2, 0.8, 0.8))
    if len(pixels) < 4:
        raise ValueError(Sentence("The grey card is too small to read. Move nearer."))
    if np.median(pixels, axis=0).max() >= _CLIPPED:
        raise ValueError(Sentence("The grey card is burnt out. Take the picture darker."))
    light = decode(pixels)
    return Reading(middle(light)[None], GREY_CARD, np.array([light.std(axis=0).mean()]))


def _check_corners(picture: Floats, corners: Corners) -> None:
    height, width = picture.shape[:2]
    if len(corners) != 4:
        raise ValueError(Sentence("Give four corners, not %(given)s.", given=len(corners)))
    for x, y in corners:
        if not (-_OVER * width <= x <= (1 + _OVER) * width and -_OVER * height <= y <= (1 + _OVER) * height):
            remedy = Sentence(
                "The corner at %(x)s, %(y)s lies outside the picture. Draw it inside.",
                x=f"{x:.0f}",
                y=f"{y:.0f}",
            )
            raise ValueError(remedy)


def _patch_boxes() -> list[tuple[float, float, float, float]]:
    """The inner part of each patch, as left, top, right, bottom in fractions of the chart."""
    wide = (1 - 2 * _BORDER) / COLUMNS
    tall = (1 - 2 * _BORDER * 1.4) / ROWS
    boxes = []
    for row in range(ROWS):
        for column in range(COLUMNS):
            x, y = _BORDER + (column + 0.5) * wide, _BORDER * 1.4 + (row + 0.5) * tall
            boxes.append(
                (x - wide * _INNER / 2, y - tall * _INNER / 2, x + wide * _INNER / 2, y + tall * _INNER / 2)
            )
    return boxes


def _sample(picture: Floats, corners: Corners, box: tuple[float, float, float, float]) -> Floats:
    """Pixels inside a part of the quadrilateral, read at the nearest pixel. Shapes: (n, 3)."""
    frame = square_to_quad(corners)
    u, v = np.meshgrid(np.linspace(box[0], box[2], 24), np.linspace(box[1], box[3], 24))
    places = np.stack([u.ravel(), v.ravel(), np.ones(u.size)], axis=1) @ frame.T
    xy = np.floor(places[:, :2] / places[:, 2:]).astype(int)
    inside = (xy >= 0).all(axis=1) & (xy[:, 0] < picture.shape[1]) & (xy[:, 1] < picture.shape[0])
    columns, rows = np.divmod(np.unique(xy[inside] @ (picture.shape[0], 1)), picture.shape[0])
    return np.asarray(picture[rows, columns])


def square_to_quad(corners: Corners) -> Floats:
    """The homography that takes the unit square to the four corners. Shapes: (3, 3).

    Source: the eight linear equations of a planar homography, Hartley and Zisserman 2004, section 4.1.
    Errors: ValueError where three corners lie on a line.
    """
    rows, answers = [], []
    for (u, v), (x, y) in zip(((0, 0), (1, 0), (1, 1), (0, 1)), corners, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        answers += [x, y]
    try:
        solved = np.linalg.solve(np.array(rows, float), np.array(answers, float))
    except np.linalg.LinAlgError as flat:
        raise ValueError(
            Sentence("Three of the four corners lie on a line. Draw them round the chart.")
        ) from flat
    return np.append(solved, 1.0).reshape(3, 3)
