"""How far reviewers agree on a trait beyond chance: Krippendorff's alpha, and what they mix up.

Votes come as columns: unit (what was judged, such as one variant's trait), observer, and the value each one saw. A
vote that was not cast has no row, and a unit with one row only says nothing and is left out.

Source: K. Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, University of Pennsylvania (the coincidence
matrix, missing data, the four metrics). The interval is a plain percentile bootstrap over units (B. Efron 1979).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Metric = Literal["nominal", "ordinal", "interval", "ratio"]

HARD_BELOW = 0.667
"""Krippendorff's customary lower limit for tentative conclusions (Content Analysis, 2004, from memory)."""

_AT_ONCE = 4_000_000  # numbers drawn at a time while resampling


@dataclass(frozen=True)
class Agreement:
    """`alpha` is 1 where all agree, 0 where they agree as by chance, below 0 where they agree less than that.

    It is nan where all values are the same or none can be paired: without variation there is nothing to tell apart.
    `low` and `high` bound it with the chance asked for; both are nan where no interval was asked for, or none found.
    """

    alpha: float
    low: float
    high: float
    units: int  # with two values or more
    values: int  # in those units


@dataclass(frozen=True)
class Table:
    """How often each value was seen in each unit.

    Shapes: `counts` is (U, V), units with two values or more; `values` is (V,), ascending, those seen there.
    """

    counts: Floats
    values: NDArray[np.generic]

    @classmethod
    def of(
        cls, unit: NDArray[np.integer], observer: NDArray[np.integer], value: NDArray[np.generic]
    ) -> "Table":
        """From n votes as columns, in any order.

        Errors: ValueError where lengths differ, or an observer has two values for one unit.
        """
        if not unit.shape == observer.shape == value.shape or unit.ndim != 1:
            raise ValueError("unit, observer and value must have one row per vote")
        if np.unique(np.stack([unit, observer]), axis=1).shape[1] != unit.size:
            raise ValueError("an observer has two values for one unit; keep the one that counts")
        _, row, size = np.unique(unit, return_inverse=True, return_counts=True)
        paired = size[row] >= 2
        values, column = np.unique(value[paired], return_inverse=True)
        _, row = np.unique(row[paired], return_inverse=True)
        shape = (int(row.max(initial=-1)) + 1, values.size)
        counts = np.bincount(row * values.size + column, minlength=shape[0] * shape[1])
        return cls(counts.reshape(shape).astype(np.float64), values)


def agreement(
    table: Table,
    *,
    metric: Metric = "nominal",
    resamples: int = 0,
    chance: float = 0.95,
    random: np.random.Generator | None = None,
) -> Agreement:
    """Krippendorff's alpha, with a bootstrap interval where `resamples` and a generator are given.

    Units:  values need an order for `ordinal`, numbers for `interval`, numbers of one sign for `ratio`.
    Errors: ValueError where resamples are asked for without a generator, or `chance` is not between 0 and 1.

    The distances between values are those of the whole table, in resamples too (only `ordinal` could tell).
    """
    if resamples and random is None:
        raise ValueError("pass a seeded generator to resample with")
    if not 0 < chance < 1:
        raise ValueError(f"chance must lie between 0 and 1, got {chance}")
    distances = _distances(table, metric)
    observed = _within(table.counts, distances)
    alpha = float(_alpha(observed.sum(keepdims=True), table.counts.sum(axis=0, keepdims=True), distances)[0])
    low = high = float("nan")
    if resamples and random is not None and len(table.counts):
        found = _resampled(table.counts, observed, distances, resamples, random)
        if found.size:
            low, high = (float(end) for end in np.quantile(found, [(1 - chance) / 2, (1 + chance) / 2]))
    return Agreement(alpha, low, high, units=len(table.counts), values=int(table.counts.sum()))


def hard_to_judge(
    found: Agreement, *, limit: float = HARD_BELOW, by: Literal["alpha", "low", "high"] = "alpha"
) -> bool:
    """Whether a trait asks for a better note on how to inspect it: reviewers agree less than `limit`.

    `by`: which figure decides. With `low` every doubt counts, with `high` a handful of votes condemns no trait.
    Where that figure is nan, nothing is said to be hard.
    """
    return bool({"alpha": found.alpha, "low": found.low, "high": found.high}[by] < limit)


def most_confused(table: Table, most: int = 3) -> list[tuple[object, object, float]]:
    """The pairs of different values seen in the same unit, most often first: (value, value, pairs).

    Units:  pairs are counted as in the coincidence matrix: all pairs of a unit of m values weigh m / 2 together.
            Pairs that never meet are left out; ties stand in the order of values.
    """
    size = table.counts.sum(axis=1)
    pairs = (table.counts / (size - 1)[:, None]).T @ table.counts
    one, other = np.triu_indices(table.values.size, 1)
    order = np.argsort(-pairs[one, other], kind="stable")[:most]
    return [
        (table.values[a].item(), table.values[b].item(), float(pairs[a, b]))
        for a, b in zip(one[order], other[order], strict=True)
        if pairs[a, b] > 0
    ]


def _distances(table: Table, metric: Metric) -> Floats:
    """Squared distance between every two values: (V, V)."""
    size = table.values.size
    if metric == "nominal":
        return 1 - np.eye(size)
    if metric == "ordinal":
        totals = table.counts.sum(axis=0)
        middle = np.cumsum(totals) - totals / 2
        apart: Floats = middle[:, None] - middle[None, :]
        return apart**2
    values = table.values.astype(np.float64)
    apart = values[:, None] - values[None, :]
    if metric == "interval":
        return apart**2
    both = values[:, None] + values[None, :]
    return np.divide(apart, both, out=np.zeros_like(apart), where=apart != 0) ** 2


def _within(counts: Floats, distances: Floats) -> Floats:
    """Disagreement inside each unit: (U,)."""
    within: Floats = np.einsum("uv,uv->u", counts @ distances, counts) / (counts.sum(axis=1) - 1)
    return within


def _alpha(observed: Floats, totals: Floats, distances: Floats) -> Floats:
    """Alpha of each of B samples, from observed disagreement (B,) and how often each value was seen (B, V)."""
    size = totals.sum(axis=1)
    expected = np.einsum("bv,bv->b", totals @ distances, totals)
    alpha = np.full(size.shape, np.nan)
    np.divide(observed * (size - 1), expected, out=alpha, where=expected > 0)
    return 1 - alpha


def _resampled(
    counts: Floats, observed: Floats, distances: Floats, resamples: int, random: np.random.Generator
) -> Floats:
    """Alpha of tables drawn from the units with replacement; those without variation are left out."""
    units, found = len(counts), []
    at_once = max(1, _AT_ONCE // units)
    for begun in range(0, resamples, at_once):
        size = min(at_once, resamples - begun)
        drawn = random.multinomial(units, np.full(units, 1 / units), size=size).astype(np.float64)
        found.append(_alpha(drawn @ observed, drawn @ counts, distances))
    alphas = np.concatenate(found)
    return alphas[~np.isnan(alphas)]
