"""A cue of how shiny a surface is, from the highlight on it. Never a verdict."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from registry.methods.colour.spaces import Floats
from registry.sentences import Sentence, joined

from . import fitted
from .streak import Streak, measure_streak

GLOSSY_BELOW, MATTE_ABOVE = 0.2, 0.5
"""Roughness; between them, half shiny. By eye, from the rendered panels."""
_BURNT = 0.5
_GRAINY = 0.1
_BUSY = 8.0
_STEEP_WHEN_CUT = 5.0  # heights per side: flatter than that is a glow, which may well reach the edge
RAKING = Sentence(
    "Let one lamp graze the surface from the side until it throws a bright spot, and mark the paint round it."
)


class NoCue(ValueError):
    """The region gives nothing to judge by; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class ShineCue:
    """`roughness`, 0 a mirror and 1 chalk; `low` to `high` held 9 in 10 of the panels that it was tried on.

    `looks`: glossy, half shiny or matte. `sentence` says it in words.
    """

    roughness: float
    low: float
    high: float
    looks: str
    sentence: str
    streak: Streak


def shine_cue(pixels: Floats, raking: bool) -> ShineCue:
    """Judge the paint round a lamp's highlight.

    Shapes: (height, width, 3), sRGB 0 to 1; paint alone, with the highlight and some paint round it. `raking`: the
            picture is said to be lit by a raking lamp. Only then does a glow without a bright spot count as matte:
            under an even light every paint glows towards its edges.
    Errors: NoCue for a region that is too small, burnt out or grainy, holds more than plain paint, shows no highlight,
            or cuts it off.

    Two things cannot be known from the region: that its bright spot is a small print and no lamp, and that the lamp's
    reflection falls outside it, on which any paint looks matte. The sentence says what to do about each.
    """
    try:
        streak = measure_streak(pixels)
    except ValueError as refusal:
        raise NoCue(*refusal.args) from refusal
    if reason := _no_cue(streak, raking):
        raise NoCue(reason)
    middle = float(np.dot(fitted.COEFFICIENTS, features(streak)))
    low, root, high = (min(max(middle + side * fitted.HALF_WIDTH, 0.0), 1.0) for side in (-1, 0, 1))
    roughness = root**2
    looks = "glossy" if roughness < GLOSSY_BELOW else "matte" if roughness > MATTE_ABOVE else "half shiny"
    return ShineCue(roughness, low**2, high**2, looks, _sentence(looks, low**2, high**2), streak)


def features(streak: Streak) -> Floats:
    """What the fit is linear in. Shapes: (4,)."""
    return np.array(
        [1.0, np.log(streak.steepness), np.log(streak.widths[1] + 0.02), np.log(streak.contrast + 0.05)]
    )


def _no_cue(streak: Streak, raking: bool) -> str:
    if streak.burnt > _BURNT:
        return Sentence(
            "Most of the mark is burnt out, so the highlight has no shape left. Take the picture darker."
        )
    if streak.busy > _BUSY:
        return Sentence(
            "There is more than plain paint in the mark. Mark one smooth part round the lamp's bright spot."
        )
    is_glow = streak.cut and streak.steepness <= _STEEP_WHEN_CUT
    if streak.contrast < fitted.LEAST_CONTRAST or (is_glow and not raking):
        return joined([Sentence("No highlight to judge by."), RAKING])
    if streak.noise > _GRAINY:
        return Sentence(
            "The picture is too grainy here to tell a highlight from noise. Use more light, or hold still."
        )
    if streak.cut and not is_glow:
        return Sentence(
            "The bright spot runs off the mark. Mark all of it, with some paint round it and nothing else."
        )
    return ""


TILT = Sentence("Tilt the model to be sure: a reflection moves, a print or a fitting does not.")
SEEN = {
    "glossy": (Sentence("Looks glossy here: the lamp's reflection is small and sharp."), TILT),
    "half shiny": (Sentence("Looks half shiny here: the lamp's reflection is soft at its edge."), TILT),
    "matte": (
        Sentence("Looks matte here: there is a wide glow and no reflection of the lamp."),
        Sentence("Turn the model to be sure that no reflection of the lamp fell beside the mark."),
    ),
}


def _sentence(looks: str, low: float, high: float) -> str:
    seen, doubt = SEEN[looks]
    likely = Sentence(
        "Likely roughness %(low)s to %(high)s, 0 a mirror and 1 chalk.", low=f"{low:.2f}", high=f"{high:.2f}"
    )
    return joined([seen, likely, doubt])
