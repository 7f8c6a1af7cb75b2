"""The colour of a marked region, without its highlights, and how sure that is."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from registry.sentences import Sentence

from .calibrate import Calibration
from .spaces import Floats, decode, lab_of_linear, middle

_LEAST_PIXELS = 30
_BURNT = 250 / 255
_FAR = 2.5  # robust standard deviations of lightness: brighter than that is a highlight, darker a gap or a shadow
_SEVERAL = 8.0  # CIEDE2000, median distance from the median: a region of several colours has none
_TO_SIGMA = 1.4826  # from a median absolute deviation, for normal errors

FEW = Sentence("The mark holds %(pixels)s pixels; at least %(least)s are needed. Draw it larger.")
BURNT = Sentence("Most of the mark is burnt out or glossy. Mark a plainer part, or turn the lamp.")
SEVERAL = Sentence(
    "The mark holds several colours (ΔE %(apart)s apart). Mark a small even part that mirrors nothing."
)


@dataclass(frozen=True, slots=True)
class RegionColour:
    """What most of a region has, as CIELAB (D50). `used`: the share of its pixels; `spread`: their median CIEDE2000."""

    lab: tuple[float, float, float]
    spread: float
    used: float
    pixels: int
    is_measured: bool  # by a chart or card in the picture; else it says how colours differ, not what they are


def trouble_again(kept: str) -> str:
    """Why a region shows no colour, kept as English text, as the sentence that it was."""
    for sentence in (FEW, BURNT, SEVERAL):
        pattern = re.sub(r"%\\\((\w+)\\\)s", r"(?P<\1>[0-9]+)", re.escape(sentence.one))
        if found := re.fullmatch(pattern, kept):
            return Sentence(sentence.one, **found.groupdict())
    return kept


def region_colour(pixels: Floats, calibration: Calibration | None) -> RegionColour:
    """The colour that most of a region has.

    Shapes: `pixels` (n, 3) or (height, width, 3), sRGB 0 to 1.
    Errors: ValueError for fewer than 30 pixels, where fewer than a quarter are neither burnt out nor far from the
            rest in lightness, or where the region holds several colours.
    """
    from .difference import ciede2000

    flat = np.asarray(pixels, float).reshape(-1, 3)
    if len(flat) < _LEAST_PIXELS:
        raise ValueError(Sentence(FEW.one, pixels=len(flat), least=_LEAST_PIXELS))
    light = decode(flat)
    lab = calibration.lab(light) if calibration else lab_of_linear(light)
    kept = flat.max(axis=1) < _BURNT
    if kept.any():
        usual = np.median(lab[kept, 0])
        width = max(_TO_SIGMA * float(np.median(np.abs(lab[kept, 0] - usual))), 0.5)
        kept &= np.abs(lab[:, 0] - usual) <= _FAR * width
    used = float(kept.mean())
    if used < 0.25:
        raise ValueError(BURNT)
    typical = middle(light[kept])
    colour = calibration.lab(typical) if calibration else lab_of_linear(typical)
    spread = float(np.median(ciede2000(lab[kept], colour)))
    if spread > _SEVERAL:
        raise ValueError(Sentence(SEVERAL.one, apart=f"{spread:.0f}"))
    return RegionColour(
        lab=(float(colour[0]), float(colour[1]), float(colour[2])),
        spread=spread,
        used=used,
        pixels=int(kept.sum()),
        is_measured=calibration is not None,
    )
