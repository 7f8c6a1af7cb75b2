"""The smallest set of traits that separates all variants of a table, or one variant from all others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from registry.methods.identify.table import Table

from .covering import elements, lightest
from .pairs import Bits, Pair, as_numbers, describe, packed, pairs_of, smallest_sets, telling

BUDGET = 5_000  # branches tried: a second or two for a release
MOST_PAIRS = 1_000  # pairs described one by one; beyond that they are only counted
GATHERED = 50_000  # pairs gathered before those that say nothing new are dropped


@dataclass(frozen=True, slots=True)
class MinimalChecks:
    """`traits` (keys, in the table's order) tell apart every pair that the allowed traits can tell apart.

    `effort` is their weight; no set is lighter than `bound`, and `is_smallest` says that this is proved.
    `alike` describes pairs that stay alike, at most `MOST_PAIRS` of the `alike_count`. `nodes` is the search's
    effort.
    """

    traits: tuple[str, ...]
    effort: float
    bound: float
    is_smallest: bool
    alike: tuple[Pair, ...]
    alike_count: int
    nodes: int


def minimal(
    table: Table,
    *,
    one: str | None = None,
    only: Sequence[bool] | None = None,
    weights: Sequence[float] | None = None,
    budget: int = BUDGET,
) -> MinimalChecks:
    """The smallest set of traits that separates all variants, or `one` from all others.

    Shapes: `only` and `weights` have one entry per trait: whether it is allowed, and what it costs (1 each
            where left out, so that the set is the smallest; efforts make it the easiest).
    Errors: ValueError where a shape does not fit, a weight is not positive, or `one` is not in the table.
    Source: minimum test set as set covering (Garey & Johnson 1979, SP6), exact by branch and bound.
    Cost:   quadratic in variants; the search ends after `budget` branches with the best found and its bound.
    """
    allowed, costs = _settings(table, only, weights)
    row = None if one is None else table.row(one)
    sets, alike, count = _gather(table, row, allowed)
    choice = lightest(as_numbers(smallest_sets(sets)), costs, budget)
    return MinimalChecks(
        traits=tuple(table.traits[element].key for element in elements(choice.chosen)),
        effort=choice.weight,
        bound=choice.bound,
        is_smallest=choice.is_proved,
        alike=alike,
        alike_count=count,
        nodes=choice.nodes,
    )


def _settings(
    table: Table, only: Sequence[bool] | None, weights: Sequence[float] | None
) -> tuple[Bits, list[float]]:
    flags = np.ones(len(table.traits), dtype=np.bool_) if only is None else np.asarray(only, dtype=np.bool_)
    costs = np.ones(len(table.traits)) if weights is None else np.asarray(weights, dtype=np.float64)
    for given, what in ((flags, "only"), (costs, "weights")):
        if given.shape != (len(table.traits),):
            raise ValueError(f"{what} must have one entry for each of {len(table.traits)} traits")
    if not (np.isfinite(costs) & (costs > 0)).all():
        raise ValueError("weights must be finite and above 0")
    return packed(flags[np.newaxis])[0], [float(cost) for cost in costs]


def _gather(table: Table, one: int | None, allowed: Bits) -> tuple[Bits, tuple[Pair, ...], int]:
    """The sets of traits that tell pairs apart, and the pairs that none of the allowed traits does."""
    gathered = [np.empty((0, len(allowed)), dtype=np.uint64)]
    alike: list[Pair] = []
    count = waiting = 0
    kept = 0  # what the last dropping left, so that the next comes when there is as much again
    as_number = as_numbers(allowed[np.newaxis])[0]
    for row, others in pairs_of(table, one):
        bits = telling(table, row, others) & allowed
        told = bits.any(axis=1)
        gathered.append(bits[told])
        waiting += int(told.sum())
        if waiting > max(GATHERED, kept):
            gathered, waiting = [smallest_sets(np.concatenate(gathered))], 0
            kept = len(gathered[0])
        same = others[~told]
        count += len(same)
        alike += [describe(table, row, int(other), as_number) for other in same[: MOST_PAIRS - len(alike)]]
    return np.concatenate(gathered), tuple(alike), count
