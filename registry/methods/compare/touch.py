"""Whether two regions of one picture speak of the same place."""

from __future__ import annotations

from .frame import Box

_LEAST = 0.2


def touches(one: Box, other: Box) -> bool:
    """They share at least a fifth of the smaller one. Units: percent of one picture.

    >>> touches((10, 10, 20, 20), (25, 10, 20, 20)), touches((10, 10, 20, 20), (29, 10, 20, 20))
    (True, False)
    """
    wide = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    tall = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    smaller = min(one[2] * one[3], other[2] * other[3])
    return wide > 0 and tall > 0 and wide * tall >= _LEAST * smaller
