"""Undo what the light and the camera did to the colours, by what a chart or a card in the picture should be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from registry.sentences import Sentence

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
        raise ValueError(
            Sentence("A patch is as good as black: there is no light to measure by. Use more light.")
        )
    goal = linear_of_lab(reading.truth)
    if len(goal) < 9:
        return Calibration(np.diag((goal / reading.light).mean(axis=0)), float("nan"), float("nan"), False)
    every, but_one = np.ones((1, len(goal))), 1 - np.eye(len(goal))
    whole, *left_out = _fits(reading.light, goal, np.vstack([every, but_one]))
    seen = np.einsum("nij,nj->ni", np.array(left_out), reading.light)
    errors = ciede2000(lab_of_linear(np.clip(seen, 0, None)), reading.truth)
    return Calibration(whole, float(np.median(errors)), float(errors.max()), True)


def misfit(reading: Reading) -> float:
    """Median CIEDE2000 of the patches under the plain fit to all of them: quick, to see whether it is a chart."""
    goal = linear_of_lab(reading.truth)
    matrix, *_rest = np.linalg.lstsq(reading.light, goal, rcond=None)
    return float(np.median(ciede2000(lab_of_linear(np.clip(reading.light @ matrix, 0, None)), reading.truth)))


def _fits(light: Floats, goal: Floats, used: Floats) -> Floats:
    """One matrix for each set of patches. Shapes: n patches, (n, 3) twice; `used` (m, n), 0 or 1; gives (m, 3, 3)."""
    shows = 1 / (0.02 + np.clip(goal.mean(axis=1), 0, None)) ** (
        2 / 3
    )  # slope of the cube root, floored in the dark
    trust, matrices = used.copy(), np.zeros((len(used), 3, 3))
    for _ in range(_ROUNDS):
        weights = trust * shows**2
        weighed = weights[:, None] * light.T
        found = np.linalg.pinv(weighed @ light, rcond=1e-12, hermitian=True) @ (weighed @ goal)
        moved, matrices = np.abs(found - matrices).max(), found
        errors = np.linalg.norm((light @ found - goal) * shows[:, None], axis=2)
        middle = np.nanmedian(np.where(used > 0, errors, np.nan), axis=1, keepdims=True)
        scale = np.maximum(middle / 0.6745, _LEAST_SCALE)
        trust = used * np.minimum(1, _TUNING * scale / np.maximum(errors, 1e-12))
        if moved < 1e-10:
            break
    return np.asarray(matrices.transpose(0, 2, 1))
