"""A chart or a card that somebody pointed out: its corners put in order, and what they enclose taken or refused."""

from __future__ import annotations

from math import atan2

import numpy as np

from registry.sentences import Sentence

from .calibrate import Calibration, calibrate, misfit
from .chart import Corners, Reading, read_card, read_chart
from .spaces import Floats

MOST_RESIDUAL = 5.0
"""CIEDE2000, median over the patches: above that a chart is not believed. Common practice, no published source."""
_UNEVEN = 0.15  # standard deviation of a card's light by its mean

Placed = tuple[list[tuple[float, float]], Calibration]


def place_chart(picture: Floats, corners: Corners) -> Placed:
    """The corners clockwise from the brown patch, in whatever order they were given, and what follows from them.

    Shapes: `picture` (height, width, 3), sRGB 0 to 1; four corners (x, y) in its pixels.
    Errors: ValueError where a corner lies outside the picture, too few patches can be read, or their colours are not
            those of a chart: what is enclosed is something else, a chart half hidden, or one in two lights.
    """
    readings = [(turned, read_chart(picture, turned)) for turned in _turns(corners)]
    best, reading = min(readings, key=lambda pair: misfit(pair[1]))
    calibration = calibrate(reading)
    if calibration.residual > MOST_RESIDUAL:
        remedy = Sentence(
            "The patches differ from those of a 24-patch chart by ΔE %(found)s; at most %(most)s is believed. "
            "Put the corners on the outer corners of the whole chart, in one light.",
            found=f"{calibration.residual:.1f}",
            most=f"{MOST_RESIDUAL:.0f}",
        )
        raise ValueError(remedy)
    return best, calibration


def place_card(picture: Floats, corners: Corners) -> Placed:
    """The same for a grey card. Errors: ValueError also where the light on it is not even."""
    best = _turns(corners)[0]
    reading = read_card(picture, best)
    _refuse_uneven(reading)
    return best, calibrate(reading)


def _refuse_uneven(reading: Reading) -> None:
    if float(reading.spread[0]) > _UNEVEN * float(reading.light.mean()):
        remedy = Sentence(
            "The light on the grey card is not even: a shadow lies on it, or the corners reach beyond it. "
            "Put them on an evenly lit part."
        )
        raise ValueError(remedy)


def _turns(corners: Corners) -> list[list[tuple[float, float]]]:
    """The corners clockwise as one sees them (y grows downwards), beginning with each in turn, the top left first."""
    if len(corners) != 4:
        raise ValueError(Sentence("Give four corners, not %(given)s.", given=len(corners)))
    middle = np.mean(corners, axis=0)
    ordered = sorted(corners, key=lambda corner: atan2(corner[1] - middle[1], corner[0] - middle[0]))
    first = min(range(4), key=lambda n: sum(ordered[n]))
    return [ordered[n:] + ordered[:n] for n in ((first + step) % 4 for step in range(4))]
