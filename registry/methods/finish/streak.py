"""Measure the highlight that a lamp throws on a marked region: how bright, how wide, how sharp at its edge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from registry.methods.colour.spaces import Floats, decode
from registry.sentences import Sentence

LEAST_SIDE = 12
"""Pixels. A smaller mark holds no shape to judge."""
_SIDE = 64  # pixels of the shorter side, about, at which every region is looked at
_BURNT = 0.97
_LEVELS = (0.2, 0.5, 0.8)  # of the highlight's height
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # of linear sRGB, IEC 61966-2-1


@dataclass(frozen=True, slots=True)
class Streak:
    """The brightest spot of a region, in figures free of the picture's brightness and size.

    `contrast`: its height over the middle brightness, as a part of that. `widths`: the square root of the share of
    the region that is brighter than 20, 50 and 80 % of its height and hangs together with the spot. `steepness`: how
    fast brightness rises round it, in heights per side of the region. `burnt`: the share of the region burnt out in
    some channel. `noise`: the picture's grain, as a part of the height. `cut`: whether the top of the spot runs off
    the region's edge. `busy`: how fast brightness changes where the spot is not, in natural logarithms per side: plain
    paint stays below 7, a whole vehicle with its prints and wheels is above 20 (rendered scenes).
    """

    contrast: float
    widths: tuple[float, float, float]
    steepness: float
    burnt: float
    noise: float
    cut: bool
    busy: float


def measure_streak(pixels: Floats) -> Streak:
    """Shapes: (height, width, 3), sRGB 0 to 1. Errors: ValueError for a region less than 12 pixels high or wide."""
    import cv2

    if pixels.ndim != 3 or min(pixels.shape[:2]) < LEAST_SIDE:
        remedy = Sentence(
            "The mark is smaller than %(least)s pixels on a side. Mark more of the paint, or move nearer.",
            least=LEAST_SIDE,
        )
        raise ValueError(remedy)
    burnt = float((pixels.max(axis=2) > _BURNT).mean())
    light: Any = decode(pixels) @ _LUMINANCE
    scale = min(1.0, _SIDE / min(pixels.shape[:2]))
    if scale < 1:
        light = cv2.resize(light, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    grain = float(np.median(np.abs(np.diff(light, axis=1)))) * 0.5
    light = cv2.GaussianBlur(light, (0, 0), 0.8)
    spot = np.unravel_index(int(light.argmax()), light.shape)
    around = float(np.median(light))
    height = max(float(light[spot]) - around, 1e-6)
    low, half, top = (_piece(light > around + level * height, spot) for level in _LEVELS)
    rise = np.hypot(*np.gradient(light))
    near = cv2.dilate(low.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    steep = float(np.percentile(rise[near], 95)) / height * float(np.sqrt(light.size))
    edge = np.concatenate([top[0], top[-1], top[:, 0], top[:, -1]])
    busy = _busy(light, low)
    widths = float(np.sqrt(low.mean())), float(np.sqrt(half.mean())), float(np.sqrt(top.mean()))
    return Streak(
        height / max(around, 0.002), widths, steep, burnt, grain / height, bool(edge.any()), float(busy)
    )


def _busy(light: Any, spot: Any) -> float:
    """The steeper tenth of slopes outside the spot and its surroundings; where that leaves little, of all."""
    import cv2

    reach = 2 * round(light.shape[0] * 0.08) + 1
    beyond = cv2.dilate(spot.astype(np.uint8), np.ones((reach, reach), np.uint8)) == 0
    slopes = np.hypot(*np.gradient(np.log(light + 0.01))) * np.sqrt(light.size)
    return float(np.percentile(slopes[beyond], 90) if beyond.mean() > 0.1 else np.percentile(slopes, 75))


def _piece(bright: Any, spot: Any) -> Any:
    """The part that hangs together with the spot."""
    import cv2

    _, labels = cv2.connectedComponents(bright.astype(np.uint8))
    return labels == labels[spot]
