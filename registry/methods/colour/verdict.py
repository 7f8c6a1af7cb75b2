"""Which state's reference colour a measured region is nearest to, and whether the picture can tell it from the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, hypot, pi, sqrt

import numpy as np

from registry.sentences import AND, Sentence, joined

from .calibrate import Calibration
from .difference import ciede2000
from .region import RegionColour
from .spaces import Floats, lab_of_linear, linear_of_lab

JUST_SEEN = 1.0
"""CIEDE2000 below which two colours are alike to the eye. Common practice, no published source."""
_VEIL = 0.004  # of white, in linear light
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
    """Standard error of a measured colour, in CIEDE2000: what the chart leaves unexplained, half the region's spread
    (shading does not average out), and a veil of gloss.

    Lacquered paint mirrors its surroundings, which lightens dark colours most: 0.4 % of white is allowed
    for (from trials on rendered scenes). A lone grey card says nothing of how the camera sees hues: 3 is allowed.
    """
    of_chart = calibration.residual if calibration.is_full else 3.0
    bare = lab_of_linear(np.clip(linear_of_lab(colour.lab) - _VEIL, 0, None))
    return hypot(max(of_chart, 0.5), colour.spread / 2, float(ciede2000(colour.lab, bare)))


def verdict(colour: RegionColour, calibration: Calibration, references: Mapping[str, Reference]) -> Verdict:
    """Judge a measured region against the states that a trait may have.

    Shapes: `references` by state key; empty gives no match. Units: CIEDE2000.
    Errors: ValueError for a colour measured without a chart or card: it has no number.

    The sentence names what is nearest, and what it is clearly not; two states nearer to each other than the error
    allows are said to be untellable in this picture.
    """
    if not colour.is_measured:
        raise ValueError("Without a chart or a grey card in the picture no colour can be measured.")
    return judge(colour.lab, measuring_error(colour, calibration), references)


def judge(lab: tuple[float, float, float], error: float, references: Mapping[str, Reference]) -> Verdict:
    """The same from a colour measured before: CIELAB (D50) with its standard error in CIEDE2000."""
    if not references:
        return Verdict((), error, Sentence("No state of this detail has a reference colour to compare with."))
    apart = ciede2000(lab, [known.lab for known in references.values()])
    distances = dict(zip(references, map(float, apart), strict=True))
    nearest = sorted(distances, key=lambda key: (distances[key], key))
    best = distances[nearest[0]]
    matches = tuple(
        Match(key, distances[key], _is_excluded(distances[key], best, references[key].tolerance, error))
        for key in nearest
    )
    return Verdict(matches, error, _sentence(matches, references, error))


_SPACE = 180_000.0
"""How many colours one CIEDE2000 apart sRGB holds, as a volume: the integral of the square root of the determinant of
the formula's local metric over its solid. Computed on a grid of 4 by 5 by 5 CIELAB units."""


def likelihoods(
    lab: tuple[float, float, float], error: float, references: Mapping[str, Reference]
) -> tuple[dict[str, float], float]:
    """How likely the colour is to be measured on each state, and on a state whose colour nobody knows.

    About a reference colour the density is normal in three dimensions, its variance the error's and that of a
    tolerance, within which examples lie evenly (tolerance squared over three, JCGM 100:2008, 4.3.7); else it is even
    over all colours. Units: CIEDE2000. Errors: ValueError for an error that is not above 0.
    """
    if not error > 0:
        raise ValueError(f"a measured colour needs an error above 0, got {error}")
    anywhere = 1 / _SPACE
    found: dict[str, float] = {}
    for key, known in references.items():
        spread = sqrt(error * error + known.tolerance * known.tolerance / 3)
        far = float(ciede2000(lab, known.lab)) / spread
        found[key] = exp(-0.5 * far * far) / (spread * sqrt(2 * pi)) ** 3
    return found, anywhere


def _is_excluded(distance: float, best: float, tolerance: float, error: float) -> bool:
    return distance - max(best, tolerance) > _CERTAIN * error * sqrt(2)


def _sentence(matches: tuple[Match, ...], references: Mapping[str, Reference], error: float) -> str:
    def told(match: Match) -> str:
        return f"{references[match.key].name} (ΔE {match.distance:.1f})"

    first = matches[0]
    if first.distance > references[first.key].tolerance + 3 * _CERTAIN * error:
        return joined(
            [Sentence("Unlike every known state; the nearest is %(nearest)s.", nearest=told(first)), MIRRORS]
        )
    open_ones = [match for match in matches if not match.excluded]
    if len(open_ones) > 1:
        names = joined([told(match) for match in open_ones], AND)
        return Sentence("%(names)s cannot be told apart in this picture.", names=names)
    excluded = [match for match in matches[1:] if match.excluded]
    if excluded:
        other = told(excluded[0])
        return Sentence("Closest to %(nearest)s, clearly not %(other)s.", nearest=told(first), other=other)
    return Sentence("Closest to %(nearest)s.", nearest=told(first))


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two regions side by side. `is_different` is None where the picture cannot tell."""

    distance: float
    error: float
    is_different: bool | None
    sentence: str


def places_are_swapped(before: tuple[float, float], after: tuple[float, float]) -> bool:
    """Whether two things that stood left and right of each other stand the other way round in another picture.

    `before` and `after`: how far from the left edge the one and the other are, in any unit.
    """
    return (before[0] - before[1]) * (after[0] - after[1]) < 0


MIRRORS = Sentence("If something bright is mirrored there, mark another part.")
SWAP = Sentence(
    "Swap the two models’ places and take the picture again: then the light is the same for both."
)


def compare_regions(pairs: list[tuple[RegionColour, RegionColour]]) -> Comparison:
    """Whether two marks of one frame differ in colour, relatively only; or of two frames with the places swapped.

    `pairs`: the same two examples in the same order, once, or twice with the models' places swapped between. In one
    frame the light may fall differently on the two, so that only a large difference counts; in two, what the places
    do cancels out. The sentence holds a number only where a chart or card is in every picture.
    Errors: ValueError for no pair or more than two.
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
    is_measured = all(colour.is_measured for pair in pairs for colour in pair)
    return _comparison(distance, error, swapped=len(pairs) == 2, number=f" (ΔE {distance:.1f})" * is_measured)


def _comparison(distance: float, error: float, swapped: bool, number: str) -> Comparison:
    if distance > max(_CERTAIN * error, 2 * JUST_SEEN):
        sentence = Sentence("The two differ in this light%(number)s.", number=number)
        return Comparison(distance, error, True, sentence if swapped else joined([sentence, SWAP]))
    if swapped and distance + error < 2 * JUST_SEEN:
        sentence = Sentence("No difference to be seen%(number)s.", number=number)
        return Comparison(distance, error, False, sentence)
    if swapped:
        return Comparison(distance, error, None, Sentence("This cannot be told here."))
    return Comparison(distance, error, None, joined([Sentence("This cannot be told yet."), SWAP]))
