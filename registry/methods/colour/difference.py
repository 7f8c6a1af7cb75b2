"""How far apart two colours look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .spaces import Floats

_TWENTY_FIVE_TO_THE_SEVENTH = 25.0**7


def ciede2000(one: ArrayLike, other: ArrayLike) -> Floats:
    """CIEDE2000 between colours, all weights 1: about 1 is just seen side by side, below 2 is a near match.

    Shapes: (..., 3) and (..., 3) in CIELAB, broadcast against each other; the answer lacks the last axis.
    Source: Sharma, Wu and Dalal 2005, The CIEDE2000 color-difference formula: implementation notes, supplementary
            test data and mathematical observations, Color Research and Application 30(1), 21-30.

    >>> round(float(ciede2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    l1, a1, b1 = np.moveaxis(np.asarray(one, float), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(other, float), -1, 0)
    stretch = _chroma_stretch((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2)
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    grey = c1 * c2 == 0
    turn = np.where(grey, 0, (h2 - h1 + 180) % 360 - 180)
    turn = np.where((turn == -180) & (h2 > h1), 180, turn)
    d_light, d_chroma = l2 - l1, c2 - c1
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    hue = np.where(grey, h1 + h2, _mean_hue(h1, h2))
    s_light = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    s_chroma = 1 + 0.045 * chroma
    s_hue = 1 + 0.015 * chroma * _hue_weight(hue)
    bend = np.exp(-(((hue - 275) / 25) ** 2))
    seventh = chroma**7
    rotation = -2 * np.sqrt(seventh / (seventh + _TWENTY_FIVE_TO_THE_SEVENTH)) * np.sin(np.radians(60 * bend))
    squared = (
        (d_light / s_light) ** 2
        + (d_chroma / s_chroma) ** 2
        + (d_hue / s_hue) ** 2
        + rotation * (d_chroma / s_chroma) * (d_hue / s_hue)
    )
    return np.asarray(np.sqrt(squared))


def _chroma_stretch(chroma: Floats) -> Floats:
    seventh = chroma**7
    return 1 + 0.5 * (1 - np.sqrt(seventh / (seventh + _TWENTY_FIVE_TO_THE_SEVENTH)))


def _mean_hue(h1: Floats, h2: Floats) -> Floats:
    total = h1 + h2
    far = np.abs(h1 - h2) > 180
    return np.where(far, np.where(total < 360, total + 360, total - 360), total) / 2


def _hue_weight(hue: Floats) -> Floats:
    return (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
