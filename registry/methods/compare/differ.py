"""What differs between two pictures laid one over the other, whatever the light, as far as that can be told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from registry.sentences import Sentence

from .frame import CannotCompare, Floats, Frame
from .light import even, lab, linear, under_one_lamp

HALF = 0.5  # differences are looked for at half the size that features are
_STRAY = 0.025  # of the longer side: how far depth may shift a part against the plane that was fitted
_BLUR = 0.8  # pixels here and below
_NEAR = 3.0  # the neighbourhood in which patterns are compared
_CHROMA = 9.0  # CIELAB units that count as one
_LIGHTNESS = 24.0
_PATTERN = 0.5
_PLAIN = 3.0  # CIELAB units of lightness; places with less contrast have no pattern
_LEAST_AGREEMENT = 0.82
CUES = ("colour", "lightness", "pattern")


@dataclass(frozen=True, slots=True)
class DifferenceMap:
    """`strength`: (3, height, width) at half the first frame's size, by cue; from 1 on it counts, 0 is nothing.

    `source`: (height, width, 2), where in the second frame (its own pixels) each of those places came from.
    `agreement`: of the places with a pattern, the share where both have the same.
    """

    strength: Any
    source: Any
    agreement: float


def difference_map(a: Frame, b: Frame, matrix: Floats) -> DifferenceMap:
    """Compare colour, lightness and pattern, after the lamp's share and small shifts by depth were taken out.

    Shapes: `matrix` (3, 3) leads from pixels of `b` to pixels of `a`.
    Errors: CannotCompare (`unlike`) where fewer than 82 in 100 patterned places agree.
    Source: structure term of SSIM, Wang et al. (2004); inverse search flow, Kroeger et al. (2016), ECCV.
    """
    import cv2

    first = _halved(a.pixels)
    tall, wide = first.shape[:2]
    # From here to there, straight from the second picture's own pixels: it is sampled once only.
    grid = np.stack(np.meshgrid(np.arange(wide) + 0.5, np.arange(tall) + 0.5), axis=-1) / HALF
    back = np.asarray(np.linalg.inv(matrix), float)
    source = _through(back, grid)
    shared = _inside(source, b)
    second = _sampled(b, source)
    second = np.where(shared[..., None], second, first)
    flow = _stray(first, second)
    source = _through(back, grid + flow / HALF)
    shared &= _inside(source, b)
    light_a, light_b = (cv2.GaussianBlur(linear(it), (0, 0), _BLUR) for it in (first, _sampled(b, source)))
    lab_a, lab_b = (lab(it) for it in under_one_lamp(light_a, light_b, shared))
    apart = np.abs(lab_a - lab_b)
    unlike, agreement = _patterns(lab_a[..., 0], lab_b[..., 0], shared)
    if agreement < _LEAST_AGREEMENT:
        raise CannotCompare(
            "unlike",
            Sentence(
                "Laid over each other, only %(share)s of what the pictures show agrees. They may show different "
                "castings, or the same one turned. Show the same side from about the same place.",
                share=f"{agreement:.0%}",
            ),
        )
    chroma = np.hypot(apart[..., 1], apart[..., 2]) / _CHROMA
    strength = np.stack([chroma, apart[..., 0] / _LIGHTNESS, unlike / _PATTERN])
    return DifferenceMap(np.where(shared, strength, 0), source, agreement)


def _halved(pixels: Any) -> Any:
    import cv2

    return cv2.resize(pixels, None, fx=HALF, fy=HALF, interpolation=cv2.INTER_AREA)


def _through(matrix: Floats, points: Any) -> Any:
    lifted = points @ matrix[:, :2].T + matrix[:, 2]
    return lifted[..., :2] / lifted[..., 2:]


def _inside(source: Any, b: Frame) -> Any:
    """Whether the second frame has something there, a little away from its edges."""
    wide, tall = b.size
    x, y = source[..., 0], source[..., 1]
    return (x > 4) & (y > 4) & (x < wide - 4) & (y < tall - 4)


def _sampled(b: Frame, source: Any) -> Any:
    """The second picture at those places; halved first, so that fine patterns do not alias."""
    import cv2

    places = (source * HALF - 0.5).astype(np.float32)
    return cv2.remap(
        _halved(b.pixels), places[..., 0], places[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )


def _stray(first: Any, second: Any) -> Any:
    """How far parts in front of or behind the plane moved: kept small and smooth, lest differences be bent away."""
    import cv2

    greys = [even(cv2.cvtColor(it, cv2.COLOR_RGB2GRAY)) for it in (first, second)]
    if min(first.shape[:2]) < 24:
        return np.zeros((*first.shape[:2], 2), np.float32)
    still = np.zeros((*first.shape[:2], 2), np.float32)
    flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_MEDIUM).calc(greys[0], greys[1], still)
    most = _STRAY * max(first.shape)
    flow *= np.minimum(1, most / np.maximum(np.linalg.norm(flow, axis=-1, keepdims=True), 1e-6))
    return np.stack(
        [cv2.GaussianBlur(cv2.medianBlur(np.ascontiguousarray(flow[..., n]), 5), (0, 0), 4) for n in (0, 1)],
        -1,
    )


def _patterns(first: Any, second: Any, shared: Any) -> tuple[Any, float]:
    """How unlike the patterns of lightness are, 0 to 1, whatever their level; and the share that agrees."""
    import cv2

    def near(it: Any) -> Any:
        return cv2.GaussianBlur(it, (0, 0), _NEAR)

    mean_a, mean_b = near(first), near(second)
    spread_a = np.sqrt(np.maximum(near(first * first) - mean_a**2, 0))
    spread_b = np.sqrt(np.maximum(near(second * second) - mean_b**2, 0))
    floor = _PLAIN**2
    alike = (near(first * second) - mean_a * mean_b + floor) / (spread_a * spread_b + floor)
    contrast = np.maximum(spread_a, spread_b)
    unlike = np.clip(1 - alike, 0, 1) * np.clip(contrast / _PLAIN - 1, 0, 1)
    patterned = shared & (contrast > _PLAIN)
    agreement = float((alike[patterned] > 0.5).mean()) if patterned.any() else 1.0
    return unlike, agreement
