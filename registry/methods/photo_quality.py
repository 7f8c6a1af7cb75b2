"""Whether a photograph is fit to be evidence: size, sharpness, light; and one sentence of advice for each fault.

Advice never blocks: a poor picture of a rare thing is still a picture of it. What follows from a number to a sentence
is common practice, no published source; the thresholds were set on the rendered pictures of fixtures/ and on freely
usable photographs, blurred and darkened by known amounts (tests/methods/test_photo_quality.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.sentences import Sentence

Grey = NDArray[np.floating]

ADVICE = {
    "small": Sentence("It has few pixels: send the file as the camera wrote it, or go closer."),
    "nothing": Sentence("There is hardly anything to see in it: check that it is the picture you meant."),
    "blurred": Sentence(
        "It is blurred everywhere: rest the camera on something, or step back until it focuses."
    ),
    "dark": Sentence("It is too dark: bring more light."),
    "dark_left": Sentence("It is too dark on the left; move the lamp."),
    "dark_right": Sentence("It is too dark on the right; move the lamp."),
    "dark_top": Sentence("It is too dark at the top; move the lamp."),
    "dark_bottom": Sentence("It is too dark at the bottom; move the lamp."),
    "burnt": Sentence(
        "Much of it is burnt out to white, where no colour is left: dim the light or cover it with paper."
    ),
    "burnt_left": Sentence("It is burnt out on the left; turn the light away from there."),
    "burnt_right": Sentence("It is burnt out on the right; turn the light away from there."),
    "burnt_top": Sentence("It is burnt out at the top; turn the light away from there."),
    "burnt_bottom": Sentence("It is burnt out at the bottom; turn the light away from there."),
}
"""What to do, by code. Codes are kept and public; sentences may be reworded."""

MEASURED_SIDE = 1200
"""Pixels: pictures are measured within this side, so that the same blur counts the same in a larger picture."""

_FEW_PIXELS = 800  # of the longer side: less than a screen shows
_BOX = 11  # pixels; the size that scikit-image takes unless told
_DEAD, _WHITE = 3, 252  # of 255: nothing is told apart beyond
_FLAT = 12  # of 255, between the darkest and the brightest hundredth
_DIM = 95  # of 255: nothing in the picture is brighter
_SHARP_ENOUGH = 45
_EDGES = 1.2  # of 255, mean slope: a part with less shows nothing that could be sharp
_BURNT = 80  # thousandths of the picture
_MOSTLY = 0.6  # of what is burnt, in one third
_HALF_LIGHT = 0.35  # of the light at the other side


@dataclass(frozen=True, slots=True)
class Quality:
    """`sharpness` 0 to 100, of the sharpest ninth; `exposure` mean luma, 0 to 255; `dark` and `burnt` thousandths of
    the picture in which nothing can be told apart; `advice` keys of ADVICE, the gravest first.
    """

    sharpness: int
    exposure: int
    dark: int
    burnt: int
    advice: tuple[str, ...]


def photo_quality(luma: NDArray[np.uint8], longest_side: int) -> Quality:
    """What a picture is like as evidence.

    Shapes: `luma` is rows x columns, upright, within MEASURED_SIDE; at least 1 x 1.
    Units:  luma of sRGB (ITU-R BT.601), 0 to 255; `longest_side` pixels of the picture as it is kept.
    Errors: ValueError for an array without pixels.
    Source: of sharpness, Crete et al. 2007 (see blur); of the advice, common practice, no published source.
    """
    if luma.ndim != 2 or not luma.size:
        raise ValueError(f"luma must be rows x columns with at least one pixel, got shape {luma.shape}")
    darkest, brightest = np.percentile(luma, (1, 99))
    dark, burnt = luma <= _DEAD, luma >= _WHITE
    sharpness = round(100 * (1 - _sharpest_blur(luma.astype(np.float32))))
    exposure = round(float(luma.mean()))
    is_flat = brightest - darkest < _FLAT
    advice = ["small"] if longest_side < _FEW_PIXELS else []
    if is_flat:
        advice.append("dark" if exposure < _DIM / 2 else "burnt" if exposure > _WHITE - _FLAT else "nothing")
    else:
        advice += ["blurred"] if sharpness < _SHARP_ENOUGH else []
        advice += _of_shadow(luma, float(brightest)) + _of_glare(burnt)
    return Quality(
        sharpness=0 if is_flat else sharpness,
        exposure=exposure,
        dark=round(1000 * float(dark.mean())),
        burnt=round(1000 * float(burnt.mean())),
        advice=tuple(advice),
    )


def blur(luma: Grey) -> float:
    """How blurred a picture is, from 0 (sharp) to 1: how little of its slopes blurring it once more takes away.

    Unlike the variance of the Laplacian it does not grow with contrast, so it means the same in any light.
    Shapes: rows x columns, any scale of values. A picture without slopes is 1.
    Source: Crete, Dolmiere, Ladret & Nicolas 2007, "The blur effect: perception and estimation with a new no-reference
            perceptual blur metric", as scikit-image computes it (skimage.measure.blur_effect).
    """
    return max(_blur_of(slopes.sum(), lost.sum()) for slopes, lost in _slopes(luma))


def _sharpest_blur(luma: Grey) -> float:
    """Of the sharpest ninth of the picture: close up, what lies before or behind is blurred as a matter of course."""
    along = _slopes(luma)
    found = []
    for rows in np.array_split(np.arange(luma.shape[0]), 3):
        for columns in np.array_split(np.arange(luma.shape[1]), 3):
            if not rows.size or not columns.size:
                continue
            ninth = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
            if sum(float(slopes[ninth].mean()) for slopes, _ in along) >= _EDGES:
                found.append(max(_blur_of(slopes[ninth].sum(), lost[ninth].sum()) for slopes, lost in along))
    return min(found, default=1.0)


def _blur_of(slopes: float, lost: float) -> float:
    return float((slopes - lost) / slopes) if slopes > 0 else 1.0


def _slopes(luma: Grey) -> list[tuple[Grey, Grey]]:
    """Along rows and along columns: each pixel's slope, and how much of it blurring that way takes; edges left out."""
    found = []
    for axis in (0, 1):
        sharp, blurred = (np.abs(_sobel(each, axis)) for each in (luma, _box(luma, axis)))
        lost = np.maximum(0, sharp - blurred)
        inner = tuple(slice(2, side - 1) for side in luma.shape)
        found.append((_emptied(sharp, inner), _emptied(lost, inner)))
    return found


def _emptied(values: Grey, inner: tuple[slice, ...]) -> Grey:
    kept = np.zeros_like(values)
    kept[inner] = values[inner]
    return kept


def _sobel(luma: Grey, axis: int) -> Grey:
    """The Sobel slope along an axis, weights summing to one on each side, the picture mirrored at its edges."""
    padded = np.pad(luma, 1, mode="symmetric")
    across = 1 - axis
    smooth = (
        _part(padded, across, 0, -2) + 2 * _part(padded, across, 1, -1) + _part(padded, across, 2, None)
    ) / 4
    slope: Grey = (_part(smooth, axis, 0, -2) - _part(smooth, axis, 2, None)) / 2
    return slope


def _box(luma: Grey, axis: int) -> Grey:
    """The mean of _BOX pixels along an axis, the picture mirrored at its edges."""
    half = _BOX // 2
    widths = [(half + 1, half) if at == axis else (0, 0) for at in (0, 1)]
    sums = np.cumsum(np.pad(luma, widths, mode="symmetric"), axis=axis, dtype=np.float64)
    mean: Grey = (_part(sums, axis, _BOX, None) - _part(sums, axis, 0, -_BOX)) / _BOX
    return mean


def _part(values: Grey, axis: int, start: int, stop: int | None) -> Grey:
    return values[(slice(start, stop), slice(None)) if axis == 0 else (slice(None), slice(start, stop))]


def _of_shadow(luma: NDArray[np.uint8], brightest: float) -> list[str]:
    """Dark all over, or where the brightest of one third has far less light than that of the third across."""
    if brightest < _DIM:
        return ["dark"]
    light = {side: float(np.percentile(part, 90)) for side, part in _thirds(luma).items()}
    across = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
    dim = {
        side: _linear(level) / _linear(light[across[side]])
        for side, level in light.items()
        if level < _DIM and light[across[side]] > _DIM
    }
    darkest = min(dim, key=lambda side: dim[side], default="")
    return [f"dark_{darkest}"] if darkest and dim[darkest] < _HALF_LIGHT else []


def _of_glare(burnt: NDArray[np.bool_]) -> list[str]:
    total = int(burnt.sum())
    if 1000 * total < _BURNT * burnt.size:
        return []
    parts = {side: int(part.sum()) for side, part in _thirds(burnt).items()}
    worst = max(parts, key=lambda side: parts[side])
    return [f"burnt_{worst}"] if parts[worst] > _MOSTLY * total else ["burnt"]


def _thirds(values: NDArray) -> dict[str, NDArray]:  # type: ignore[type-arg]
    high, wide = (max(1, side // 3) for side in values.shape)
    return {
        "left": values[:, :wide],
        "right": values[:, -wide:],
        "top": values[:high],
        "bottom": values[-high:],
    }


def _linear(level: float) -> float:
    """Light from a code value. Source: the power of sRGB in short, 2.2 (IEC 61966-2-1)."""
    return float(max(level / 255, 1 / 255) ** 2.2)
