"""sRGB, CIE XYZ and CIELAB as arrays; every stored colour is CIELAB with white D50.

Source: IEC 61966-2-1 (sRGB curve and primaries), ISO/CIE 11664-4 (CIELAB), Bradford adaptation from D65 to D50
as in ICC.1, annex E.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

D50 = np.array([0.96422, 1.0, 0.82521])
"""White of the profile connection space. Source: ICC.1, as X, Y, Z with Y = 1."""
_TO_XYZ_D50 = np.array(
    [
        [0.4360747, 0.3850649, 0.1430804],
        [0.2225045, 0.7168786, 0.0606169],
        [0.0139322, 0.0971045, 0.7141733],
    ]
)
"""Linear sRGB to XYZ, adapted to D50 by Bradford. From memory; checked in tests against two libraries."""
_FROM_XYZ_D50 = np.linalg.inv(_TO_XYZ_D50)
_EPSILON = 216 / 24389
_KAPPA = 24389 / 27


def decode(srgb: ArrayLike) -> Floats:
    """Linear light, 0 to 1, of sRGB values 0 to 1. Shapes: any; the answer has the same."""
    value = np.asarray(srgb, float)
    return np.where(value <= 0.04045, value / 12.92, ((np.clip(value, 0, None) + 0.055) / 1.055) ** 2.4)


def encode(linear: ArrayLike) -> Floats:
    """sRGB values 0 to 1 of linear light; what lies outside is clipped. Shapes: any; the answer has the same."""
    value = np.clip(np.asarray(linear, float), 0, 1)
    return np.asarray(np.where(value <= 0.0031308, 12.92 * value, 1.055 * value ** (1 / 2.4) - 0.055))


def lab_of_linear(linear: ArrayLike) -> Floats:
    """CIELAB (D50) of linear sRGB.

    Shapes: (..., 3) gives (..., 3). Units: light 0 to 1; L* 0 to 100.

    >>> lab_of_linear([1.0, 1.0, 1.0]).round(2).tolist()
    [100.0, 0.0, 0.0]
    """
    ratio = (np.asarray(linear, float) @ _TO_XYZ_D50.T) / D50
    curved = np.where(ratio > _EPSILON, np.cbrt(ratio), (_KAPPA * ratio + 16) / 116)
    x, y, z = curved[..., 0], curved[..., 1], curved[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def linear_of_lab(lab: ArrayLike) -> Floats:
    """Linear sRGB of CIELAB (D50); colours outside sRGB come out below 0 or above 1. Shapes: (..., 3)."""
    colour = np.asarray(lab, float)
    y = (colour[..., 0] + 16) / 116
    curved = np.stack([y + colour[..., 1] / 500, y, y - colour[..., 2] / 200], axis=-1)
    ratio = np.where(curved**3 > _EPSILON, curved**3, (116 * curved - 16) / _KAPPA)
    return np.asarray((ratio * D50) @ _FROM_XYZ_D50.T)


def middle(values: Floats) -> Floats:
    """Mean of the middle half of each column: as deaf to strays as a median, but finer than the steps of eight bits.

    Shapes: (n, k) gives (k,). Known as the interquartile mean.
    """
    aside = len(values) // 4
    return np.asarray(np.sort(values, axis=0)[aside : len(values) - aside].mean(axis=0))
