"""Take the light out of a comparison, as far as that can be told from two pictures of the same thing."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from .frame import Floats

_DARK, _BURNT = 0.01, 0.95  # linear light between which a channel tells of the lamp
_FLOOR = 0.004
_FULL = 0.98  # from here on a channel is burnt out
_ROUNDS = 8
_EVERY = 4  # pixels

_CODES = np.arange(256) / 255
_LINEAR = np.where(_CODES <= 0.04045, _CODES / 12.92, ((_CODES + 0.055) / 1.055) ** 2.4).astype(np.float32)


def linear(pixels: Any) -> Any:
    """Linear light, 0 to 1, of sRGB pixels of eight bits. Source: IEC 61966-2-1."""
    return _LINEAR[pixels]


def under_one_lamp(first: Any, second: Any, shared: npt.NDArray[np.bool_]) -> tuple[Any, Any]:
    """Both pictures as the lamp of the first would show them; what burnt out in one is burnt out in both.

    Each channel's ratio of light is fitted by a smooth surface of the second order (a lamp that is stronger, of
    another colour, or nearer to one side), robustly, so that what differs in itself does not pull the fit.

    Shapes: two of (height, width, 3), linear light; `shared` (height, width). Returns the two, as they came.
    """
    fitted = shared[::_EVERY, ::_EVERY]
    whole = _surface(shared.shape)
    coarse = whole[::_EVERY, ::_EVERY]
    lamp = np.ones_like(second)
    for channel in range(3):
        here, there = first[::_EVERY, ::_EVERY, channel], second[::_EVERY, ::_EVERY, channel]
        tells = fitted & (np.minimum(here, there) > _DARK) & (np.maximum(here, there) < _BURNT)
        if tells.sum() < 50:
            continue
        ratio = np.log((here[tells] + _FLOOR) / (there[tells] + _FLOOR)).astype(float)
        lamp[..., channel] = np.exp(whole @ _robust(coarse[tells], ratio))
    most = np.minimum(lamp * _FULL, _FULL)
    return np.minimum(first, most), np.minimum(second * lamp, most)


def _surface(shape: tuple[int, ...]) -> Floats:
    y, x = np.mgrid[-1 : 1 : shape[0] * 1j, -1 : 1 : shape[1] * 1j]
    return np.stack([np.ones_like(x), x, y, x * x, y * y, x * y], axis=-1)


def _robust(basis: Floats, wanted: Floats) -> Floats:
    """Least squares, reweighted by Cauchy's rule until what lies far off no longer counts."""
    weight = np.ones_like(wanted)
    for _ in range(_ROUNDS):
        fit = np.linalg.lstsq(basis * weight[:, None], wanted * weight, rcond=None)[0]
        off = np.abs(wanted - basis @ fit)
        weight = 1 / np.sqrt(1 + (off / max(1.5 * float(np.median(off)), 0.02)) ** 2)
    return np.asarray(fit, float)


def lab(light: Any) -> Any:
    """CIELAB (D65, as a screen shows it) of linear light, (height, width, 3); only differences of it are used."""
    import cv2

    return cv2.cvtColor(np.ascontiguousarray(light, np.float32), cv2.COLOR_LRGB2LAB)


def even(grey: Any) -> Any:
    """Brightness against its surroundings, eight bits, for following parts from one picture to the other."""
    import cv2

    light = np.log1p(grey.astype(np.float32))
    mean = cv2.GaussianBlur(light, (0, 0), 10)
    spread = np.sqrt(cv2.GaussianBlur((light - mean) ** 2, (0, 0), 10)) + 0.05
    return np.clip(127 + 50 * (light - mean) / spread, 0, 255).astype(np.uint8)
