"""Readings of a gloss meter: what may be written down, and at which angle it should have been taken.

Source: ISO 2813 (specular gloss at 20, 60 and 85 degrees; black glass of refractive index 1.567 is 100 at each),
Fresnel's equations for what a smooth surface of another index reads. The rules for choosing the angle, and the index
of the glass, are given from memory. The names of the ranges at 60 degrees: common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, sqrt

from registry.sentences import Sentence

ANGLES = (20, 60, 85)
"""Degrees from upright. 60 is taken first."""
STANDARD_INDEX = 1.567
SHINY_AT_60, DULL_AT_60 = 70.0, 10.0
"""Gloss units at 60 degrees above which 20 tells more, and below which 85 does."""
MOST = 2000.0
"""Gloss units: polished metal reads about so much at 20 degrees; no meter shows more."""
_HIGHEST_INDEX = 1.75  # of a clear coat: common practice, no published source


@dataclass(frozen=True, slots=True)
class MeterReading:
    """A reading as taken. `angle` in degrees, `gloss_units` with black glass as 100.

    `better_angle`: where to take it again for a finer answer; None where this angle is right.
    `advice`: what to do next, in a sentence; empty where nothing is left to do.
    """

    angle: int
    gloss_units: float
    better_angle: int | None
    advice: str


def read_meter(angle: int, gloss_units: float) -> MeterReading:
    """Check a reading and say whether another angle should be used.

    Units: degrees; gloss units. Errors: ValueError for an angle other than 20, 60 or 85, or for a value below 0, above
    2000 or not a number.

    >>> read_meter(60, 82.0).better_angle
    20
    """
    if angle not in ANGLES:
        remedy = Sentence(
            "%(angle)s degrees is not an angle of a gloss meter. Give 20, 60 or 85.", angle=angle
        )
        raise ValueError(remedy)
    if not 0 <= gloss_units <= MOST:
        remedy = Sentence(
            "%(units)s gloss units cannot be. Give a number from 0 to %(most)s.",
            units=f"{gloss_units:g}",
            most=f"{MOST:g}",
        )
        raise ValueError(remedy)
    if gloss_units > smooth_gloss(_HIGHEST_INDEX, angle):
        return MeterReading(
            angle,
            gloss_units,
            None,
            Sentence(
                "More than a clear coat can give: "
                "bare or plated metal, or a meter that wants its black glass again."
            ),
        )
    better = better_angle(angle, gloss_units)
    return MeterReading(angle, gloss_units, better, "" if better is None else _ADVICE[angle, better])


def gloss_range(angle: int, gloss_units: float) -> str:
    """What a reading at 60 degrees is called; empty at another angle, which does not say.

    >>> gloss_range(60, 12.4)
    'semi-gloss'
    """
    if angle != 60:
        return ""
    if gloss_units > SHINY_AT_60:
        return Sentence("high gloss")
    return Sentence("low gloss") if gloss_units < DULL_AT_60 else Sentence("semi-gloss")


def better_angle(angle: int, gloss_units: float) -> int | None:
    """The angle to take next: 20 for what is above 70 at 60 degrees, 85 for what is below 10; None to stay.

    A reading at 20 or 85 alone does not say whether that was the right angle, unless it is plainly the wrong end: then
    60 comes next.
    """
    if angle == 60:
        return 20 if gloss_units > SHINY_AT_60 else 85 if gloss_units < DULL_AT_60 else None
    plainly_wrong = gloss_units < DULL_AT_60 if angle == 20 else gloss_units > SHINY_AT_60
    return 60 if plainly_wrong else None


_ADVICE = {
    (60, 20): Sentence(
        "Above 70 at 60 degrees: take it again at 20 degrees, which tells shiny coats apart better."
    ),
    (60, 85): Sentence(
        "Below 10 at 60 degrees: take it again at 85 degrees, which tells dull coats apart better."
    ),
    (20, 60): Sentence("Too dull for 20 degrees: take it at 60 degrees first."),
    (85, 60): Sentence("Too shiny for 85 degrees: take it at 60 degrees first."),
}


def smooth_gloss(index: float, angle: int) -> float:
    """Gloss units of a perfectly smooth, clear surface of this refractive index: the most that it can read.

    >>> round(smooth_gloss(1.567, 60), 6)
    100.0
    """
    return 100 * reflectance(index, angle) / reflectance(STANDARD_INDEX, angle)


def reflectance(index: float, angle: int) -> float:
    """Fresnel: the share of unpolarised light that a smooth surface of this index throws back.

    >>> round(reflectance(1.567, 20), 4)
    0.0491
    """
    upright = cos(radians(angle))
    inside = sqrt(1 - (sin(radians(angle)) / index) ** 2)
    across = ((upright - index * inside) / (upright + index * inside)) ** 2
    along = ((index * upright - inside) / (index * upright + inside)) ** 2
    return (across + along) / 2
