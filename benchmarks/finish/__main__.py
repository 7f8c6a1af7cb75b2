"""Fit the shine's cue to the panels of known roughness, and try it on those held out.

Prints the numbers for registry/methods/finish/fitted.py. Ridge regression of the square root of roughness; the
interval is the 90 % quantile of the errors made on each picture by a fit to all the others (split by picture, as in
cross-conformal prediction: Vovk 2015).
"""

from __future__ import annotations

import numpy as np

from registry.methods.finish import NoCue, features, measure_streak, shine_cue

from .panels import marked

RIDGE = 0.05
COVERAGE = 0.9


def fit() -> tuple[list[float], float, int]:
    """Coefficients, half width of the interval, and how many marks they rest on."""
    rows, goals, files = [], [], []
    for mark in marked("fit"):
        if not mark.holds_streak:
            continue
        try:
            shine_cue(
                mark.pixels, raking=True
            )  # refuses before it predicts, so that the fit sees what users will
        except NoCue:
            continue
        rows.append(features(measure_streak(mark.pixels)))
        goals.append(np.sqrt(mark.roughness))
        files.append(mark.file)
    known, goal, of = np.array(rows), np.array(goals), np.array(files)
    errors = np.zeros(len(goal))
    for file in np.unique(of):
        out = of == file
        errors[out] = np.abs(known[out] @ _solve(known[~out], goal[~out]) - goal[out])
    return _solve(known, goal).tolist(), float(np.quantile(errors, COVERAGE)), len(goal)


def _solve(known: np.ndarray, goal: np.ndarray) -> np.ndarray:
    return np.linalg.solve(known.T @ known + RIDGE * np.eye(known.shape[1]), known.T @ goal)


def main() -> None:
    coefficients, half, count = fit()
    print("COEFFICIENTS =", tuple(round(c, 4) for c in coefficients))
    print(f"HALF_WIDTH = {half:.3f}  # {count} marks")
    for of in ("fit", "held", "no_lamp"):
        tried(of)


def tried(of: str) -> None:
    judged, inside, refused, told = 0, 0, {}, []
    for mark in marked(of):
        try:
            cue = shine_cue(mark.pixels, raking=of != "no_lamp")
        except NoCue as no:
            reason = str(no).split(".")[0]
            refused[reason] = refused.get(reason, 0) + 1
            continue
        if mark.holds_streak or of == "no_lamp":
            judged += 1
            inside += cue.low <= mark.roughness <= cue.high
            told.append((mark.roughness, round(cue.roughness, 2), cue.looks, mark.file, mark.panel["paint"]))
    print(f"{of}: {judged} judged, {inside} inside the interval; refused: {refused}")
    for row in sorted(told):
        print("   ", *row)


if __name__ == "__main__":
    main()
