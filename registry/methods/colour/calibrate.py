"""Undo what the light and the camera did to the colours, by what a chart or a card in the picture should be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .chart import Reading
from .difference import ciede2000
from .spaces import Floats, lab_of_linear, linear_of_lab

_ROUNDS = 30
_TUNING = 1.345  # Huber's constant: 95 % efficiency for normal errors (Huber 1981)
_LEAST_SCALE = 1e-4  # linear light; below the step of eight bits


@dataclass(frozen=True, slots=True)
class Calibration:
    """A 3 x 3 matrix on linear light, and how well it fits.

    `residual`: median CIEDE2000 of the patches, each judged by a fit to all the others; nan for a lone grey card.
    `worst`: the largest of them. `is_full`: fitted to colours, not to one grey.
    """

    matrix: Floats
    residual: float
    worst: float
    is_full: bool

    def lab(self, light: ArrayLike) -> Floats:
        """CIELAB (D50) of linear light as the picture has it. Shapes: (..., 3) gives (..., 3)."""
        return lab_of_linear(np.clip(np.asarray(light, float) @ self.matrix.T, 0, None))


def calibrate(reading: Reading) -> Calibration:
    """The matrix that brings the patches to their true colours.

    From a chart: robust least squares (Huber's weights, iterated) in linear light, each patch weighted by how much
    a step of light shows there, so that dark patches count as the eye sees them. From a lone grey: one gain per
    channel, which corrects the light's colour and strength but not the camera's.

    Errors: ValueError for a reading without light.
    """
    if not (reading.light.max(axis=1) > 1 / 255).all():
        raise ValueError("A patch is as good as black: there is no light to measure by. Use more light.")
    goal = linear_of_lab(reading.truth)
    if len(goal) < 9:
        return Calibration(np.diag((goal / reading.light).mean(axis=0)), float("nan"), float("nan"), False)
    left_out = [_without(reading.light, goal, n) for n in range(len(goal))]
    seen = np.array([light @ matrix.T for light, matrix in zip(reading.light, left_out, strict=True)])
    errors = ciede2000(lab_of_linear(np.clip(seen, 0, None)), reading.truth)
    return Calibration(_fit(reading.light, goal), float(np.median(errors)), float(errors.max()), True)


def misfit(reading: Reading) -> float:
    """Median CIEDE2000 of the patches under the plain fit to all of them: quick, to see whether it is a chart."""
    goal = linear_of_lab(reading.truth)
    matrix, *_rest = np.linalg.lstsq(reading.light, goal, rcond=None)
    return float(np.median(ciede2000(lab_of_linear(np.clip(reading.light @ matrix, 0, None)), reading.truth)))


def _without(light: Floats, goal: Floats, n: int) -> Floats:
    return _fit(np.delete(light, n, axis=0), np.delete(goal, n, axis=0))


def _fit(light: Floats, goal: Floats) -> Floats:
    shows = 1 / (0.02 + np.clip(goal.mean(axis=1), 0, None)) ** (
        2 / 3
    )  # slope of the cube root, floored in the dark
    trust = np.ones(len(goal))
    matrix = np.eye(3)
    for _ in range(_ROUNDS):
        weights = np.sqrt(trust)[:, None] * shows[:, None]
        found, *_rest = np.linalg.lstsq(light * weights, goal * weights, rcond=None)
        moved = np.abs(found.T - matrix).max()
        matrix = found.T
        errors = np.linalg.norm((light @ matrix.T - goal) * shows[:, None], axis=1)
        scale = max(float(np.median(errors)) / 0.6745, _LEAST_SCALE)
        trust = np.minimum(1, _TUNING * scale / np.maximum(errors, 1e-12))
        if moved < 1e-10:
            break
    return matrix
