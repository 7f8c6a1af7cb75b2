"""Which state's reference colour a measured region is nearest to, and whether the picture can tell it from the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from .calibrate import Calibration
from .difference import ciede2000
from .region import RegionColour
from .spaces import Floats

JUST_SEEN = 1.0
"""CIEDE2000 below which two colours are alike to the eye. Common practice, no published source."""
_CERTAIN = 2.0  # standard errors between "nearest" and "clearly not"


@dataclass(frozen=True, slots=True)
class Reference:
    """A state's reference colour, CIELAB (D50), and its normal range in CIEDE2000."""

    name: str
    lab: tuple[float, float, float]
    tolerance: float = 0.0


@dataclass(frozen=True, slots=True)
class Match:
    """How far the region is from one state. `excluded`: so far that the picture rules the state out."""

    key: str
    distance: float
    excluded: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """Matches, nearest first, and the sentence that says what follows. `error`: standard error in CIEDE2000."""

    matches: tuple[Match, ...]
    error: float
    sentence: str


def measuring_error(colour: RegionColour, calibration: Calibration) -> float:
    """Standard error of a measured colour, in CIEDE2000: what the chart leaves unexplained, and the region's spread.

    A lone grey card says nothing of how the camera sees hues: 3 is allowed for that (from trials on rendered scenes).
    """
    of_chart = calibration.residual if calibration.is_full else 3.0
    return hypot(max(of_chart, 0.5), colour.spread / np.sqrt(max(colour.pixels / 50, 1)))


def verdict(colour: RegionColour, calibration: Calibration, references: Mapping[str, Reference]) -> Verdict:
    """Judge a measured region against the states that a trait may have.

    Shapes: `references` by state key; empty gives no match. Units: CIEDE2000.
    Errors: ValueError for a colour measured without a chart or card: it has no number.

    The sentence names what is nearest, and what it is clearly not; two states nearer to each other than the error
    allows are said to be untellable in this picture.
    """
    if not colour.is_measured:
        raise ValueError("Without a chart or a grey card in the picture no colour can be measured.")
    error = measuring_error(colour, calibration)
    distances = {key: float(ciede2000(colour.lab, known.lab)) for key, known in references.items()}
    nearest = sorted(distances, key=lambda key: (distances[key], key))
    if not nearest:
        return Verdict((), error, "No state of this detail has a reference colour to compare with.")
    best = distances[nearest[0]]
    matches = tuple(
        Match(key, distances[key], _is_excluded(distances[key], best, references[key].tolerance, error))
        for key in nearest
    )
    return Verdict(matches, error, _sentence(matches, references, error))


def _is_excluded(distance: float, best: float, tolerance: float, error: float) -> bool:
    return distance - max(best, tolerance) > _CERTAIN * error * sqrt(2)


def _sentence(matches: tuple[Match, ...], references: Mapping[str, Reference], error: float) -> str:
    def told(match: Match) -> str:
        return f"{references[match.key].name} (ΔE {match.distance:.1f})"

    first = matches[0]
    if first.distance > references[first.key].tolerance + 3 * _CERTAIN * error:
        return f"Unlike every known state; the nearest is {told(first)}."
    open_ones = [match for match in matches if not match.excluded]
    if len(open_ones) > 1:
        names = " and ".join(told(match) for match in open_ones)
        return f"{names} cannot be told apart in this picture."
    excluded = [match for match in matches[1:] if match.excluded]
    clearly = f", clearly not {told(excluded[0])}" if excluded else ""
    return f"Closest to {told(first)}{clearly}."


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two regions side by side. `is_different` is None where the picture cannot tell."""

    distance: float
    error: float
    is_different: bool | None
    sentence: str


SWAP = "Swap the two models’ places and take the picture again: then the light is the same for both."


def compare_regions(pairs: list[tuple[RegionColour, RegionColour]]) -> Comparison:
    """Whether two marks of one frame differ in colour, relatively only; or of two frames with the places swapped.

    `pairs`: the same two examples in the same order, once, or twice with the models' places swapped between. In one
    frame the light may fall differently on the two, so that only a large difference counts; in two, what the places
    do cancels out. Errors: ValueError for no pair or more than two.
    """
    if not 1 <= len(pairs) <= 2:
        raise ValueError(
            f"Give one pair of marks, or two from pictures with the places swapped; not {len(pairs)}."
        )
    apart = np.array([np.subtract(one.lab, other.lab) for one, other in pairs])
    middle: Floats = np.mean([np.add(one.lab, other.lab) / 2 for one, other in pairs], axis=0)
    mean = apart.mean(axis=0)
    distance = float(ciede2000(middle + mean / 2, middle - mean / 2))
    spread = float(np.mean([hypot(one.spread, other.spread) for one, other in pairs]))
    if len(pairs) == 1:
        error = hypot(
            2.5, spread / 2
        )  # what two places on a table under one lamp do: from trials on rendered scenes
    else:
        half = (apart[0] - apart[1]) / 2
        error = hypot(0.5, 0.3 * float(ciede2000(middle + half / 2, middle - half / 2)), spread / 4)
    return _comparison(distance, error, swapped=len(pairs) == 2)


def _comparison(distance: float, error: float, swapped: bool) -> Comparison:
    if distance > max(_CERTAIN * error, 2 * JUST_SEEN):
        sentence = f"The two differ in this light (ΔE {distance:.1f})."
        return Comparison(distance, error, True, sentence if swapped else f"{sentence} {SWAP}")
    if swapped and distance + error < 2 * JUST_SEEN:
        return Comparison(distance, error, False, f"No difference to be seen (ΔE {distance:.1f}).")
    return Comparison(
        distance, error, None, "This cannot be told here." if swapped else f"This cannot be told yet. {SWAP}"
    )
