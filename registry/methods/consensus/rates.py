"""How good reviewers are: a small tree of rates, each leaning on the one above it.

A cell (reviewer, kind, basis) leans on its reviewer's overall on that basis and on everybody's overall for that kind
and basis; both lean on everybody's overall on the basis; that leans on the policy. To lean means a penalty of
strength x KL(above || below), the Kullback-Leibler divergence of one coin from another, which is what `strength`
imagined votes at the rate above would cost. It is convex in both rates together, so that every step here is the
exact maximum of a concave function.

A rate is a pair: of true claims confirmed (sensitivity), of false claims contradicted (specificity).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .ballots import KINDS, Start
from .layout import Layout

Floats = NDArray[np.float64]

_EDGE = 1e-12  # no rate comes nearer to 0 or 1
_FINE = 1e-13


@dataclass
class Tree:
    """All rates; the last axis is (sensitivity, specificity)."""

    layout: Layout
    start: Start
    cells: Floats  # (K, 2)
    reviewers: Floats  # (M, 2)
    kinds: Floats  # (kinds x bases, 2)
    population: Floats  # (bases, 2)

    @classmethod
    def planted(cls, layout: Layout, start: Start) -> "Tree":
        """Everybody as the policy says."""
        rates = start.rates()
        return cls(
            layout=layout,
            start=start,
            cells=rates[layout.basis],
            reviewers=rates[layout.basis[layout.first]],
            kinds=np.tile(rates, (len(KINDS), 1)),
            population=rates.copy(),
        )

    def log_rates(self) -> tuple[Floats, Floats]:
        """Log-probability of each kind of vote, (2 K,) as in Layout, where the claim is true and where it is false."""
        sensitivity, specificity = self.cells.T
        if_true = np.log(np.stack([1 - sensitivity, sensitivity], axis=1)).ravel()
        if_false = np.log(np.stack([specificity, 1 - specificity], axis=1)).ravel()
        return if_true, if_false

    def grow(self, on_true: Floats, on_false: Floats) -> float:
        """Raise expected log-likelihood less penalty, block by block: cells, reviewers, kinds, population.

        Shapes: both are (2 K,) as in Layout: expected votes on true claims, and on false ones.
        Returns by how much the rate that moved most has moved.
        """
        at, start = self.layout, self.start
        before = self._blocks()
        self._grow_cells(on_true.reshape(-1, 2), on_false.reshape(-1, 2))
        below = logit(self.cells)
        self.reviewers = self._lean(
            self.reviewers,
            *_add_up(below, at.owner, len(self.reviewers), start.cell_to_reviewer),
            self.population[at.basis[at.first]],
            start.reviewer_to_population,
        )
        self.kinds = self._lean(
            self.kinds,
            *_add_up(below, at.setting, len(self.kinds), start.cell_to_kind),
            np.tile(self.population, (len(KINDS), 1)),
            start.kind_to_population,
        )
        pull, weight = _add_up(
            logit(self.reviewers), at.basis[at.first], len(self.population), start.reviewer_to_population
        )
        pull += start.kind_to_population * logit(self.kinds).reshape(len(KINDS), -1, 2).sum(axis=0)
        weight += start.kind_to_population * len(KINDS)
        self.population = self._lean(self.population, pull, weight, start.rates(), start.population_to_policy)
        moves = zip(self._blocks(), before, strict=True)
        return max(float(np.max(np.abs(now - then), initial=0.0)) for now, then in moves)

    def penalty(self) -> float:
        """What all the leaning costs, to be taken from the log-likelihood."""
        at, start = self.layout, self.start
        return (
            start.cell_to_reviewer * _divergence(self.reviewers[at.owner], self.cells)
            + start.cell_to_kind * _divergence(self.kinds[at.setting], self.cells)
            + start.reviewer_to_population * _divergence(self.population[at.basis[at.first]], self.reviewers)
            + start.kind_to_population * _divergence(np.tile(self.population, (len(KINDS), 1)), self.kinds)
            + start.population_to_policy * _divergence(start.rates(), self.population)
        )

    def _blocks(self) -> tuple[Floats, ...]:
        return self.cells, self.reviewers, self.kinds, self.population

    def _grow_cells(self, on_true: Floats, on_false: Floats) -> None:
        """The exact maximum over both coins of a cell where sensitivity + specificity >= 1.

        Where the votes alone would break that bound, the maximum lies on it: sensitivity = 1 - specificity is then
        the share of confirmations among all votes, and a vote from the cell weighs nothing.
        """
        at, start = self.layout, self.start
        above = (
            start.cell_to_reviewer * self.reviewers[at.owner] + start.cell_to_kind * self.kinds[at.setting]
        )
        leaning = start.cell_to_reviewer + start.cell_to_kind
        right = above + np.stack([on_true[:, 1], on_false[:, 0]], axis=1)
        wrong = leaning - above + np.stack([on_true[:, 0], on_false[:, 1]], axis=1)
        both = right + wrong
        cells = np.divide(right, both, out=self.reviewers[at.owner], where=both > 0)
        crossed = cells.sum(axis=1) < 1
        share = (right[crossed, 0] + wrong[crossed, 1]) / both[crossed].sum(axis=1)
        cells[crossed] = np.stack([share, 1 - share], axis=1)
        self.cells = np.clip(cells, _EDGE, 1 - _EDGE)

    @staticmethod
    def _lean(now: Floats, pull: Floats, weight: Floats, above: Floats, strength: float) -> Floats:
        """The rates between those below (`pull` = sum of strength x logit, `weight` = sum of strength) and above.

        Each is the root, in x = logit(rate), of a function that only falls: safeguarded Newton steps from `now`.
        The same function serves both coins and grows with the rates below and above, so that
        sensitivity >= 1 - specificity passes upwards from the cells.
        """
        from_above = logit(above)
        from_below = np.divide(pull, weight, out=from_above.copy(), where=weight > 0)
        low, high = np.minimum(from_above, from_below), np.maximum(from_above, from_below)
        x = np.clip(logit(now), low, high)
        for _ in range(100):
            up, down = above * np.exp(-x), (1 - above) * np.exp(x)
            gap = pull - weight * x + strength * (2 * above - 1 + up - down)
            low, high = np.where(gap > 0, x, low), np.where(gap < 0, x, high)
            step = x + gap / (weight + strength * (up + down))
            step = np.where((step >= low) & (step <= high), step, (low + high) / 2)
            moved = np.abs(step - x)
            x = step
            if np.all(moved <= _FINE * (1 + np.abs(x))):
                break
        return np.clip(1 / (1 + np.exp(-x)), _EDGE, 1 - _EDGE)


def logit(rate: Floats) -> Floats:
    return np.log(rate) - np.log1p(-rate)


def _add_up(below: Floats, owner: NDArray[np.integer], size: int, strength: float) -> tuple[Floats, Floats]:
    """Strength x logit and strength, added up by owner: (size, 2) and (size, 1)."""
    pull = np.stack([np.bincount(owner, weights=coin, minlength=size) for coin in below.T], axis=1)
    weight = np.bincount(owner, minlength=size)[:, None].astype(np.float64)
    return (pull * strength).astype(np.float64), weight * strength


def _divergence(above: Floats, below: Floats) -> float:
    """KL(above || below) of two coins, added up over all."""
    parts = above * (np.log(above) - np.log(below)) + (1 - above) * (np.log1p(-above) - np.log1p(-below))
    return float(parts.sum())
