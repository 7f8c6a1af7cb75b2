"""What each variant, and a variant that is not listed, leads one to see on each trait.

For a trait of S states this is a small table of likelihoods, by *row*: one for each state, then one for a
variant that is not listed, and last one for a variant whose state is not known. A cell of -1 thus picks the
last row by itself.

* A state is seen as itself or mistaken for another, as the trait's confusion says.
* Not known: the state may be any, as often as it is found among the variants: the share of state s is
  (n_s + 1/S) / (n + 1), with n_s known variants of that state of n, each counted by its prior. (Perks 1947,
  Journal of the Institute of Actuaries 73: one further count, spread evenly.)
* Not listed: with probability `novelty` the trait shows a state that no list holds, else as not known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from math import isfinite
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .observations import Numbers, Observation, likelihoods
from .table import Table, Trait

ACCURACY = 0.95  # how often a state is named rightly, where nothing better is known
NOVELTY = 0.08  # how often a trait of a variant that is not listed shows a state that is not listed either
# (of the invented scenario's variants, each left out in turn, 47 of 596; no published source)
UNLISTED = 0.05  # prior of "not listed" where no estimate is handed in
IMAGINED = 20.0  # looks of the plain accuracy added to what was learnt of a state
LEAST = 1e-9  # no likelihood is taken for smaller: nobody is surer than that


def default_confusion(states: int, accuracy: float = ACCURACY) -> Numbers:
    """S x S: each state is named rightly with this accuracy, and mistaken evenly for another or for none.

    >>> default_confusion(2, 0.9).round(3).tolist()
    [[0.9, 0.05], [0.05, 0.9]]
    """
    if not 0 < accuracy < 1:
        raise ValueError(f"accuracy must lie between 0 and 1, got {accuracy}")
    return np.full((states, states), (1 - accuracy) / states) + np.eye(states) * (
        accuracy - (1 - accuracy) / states
    )


def learnt_confusion(counts: ArrayLike, accuracy: float = ACCURACY, strength: float = IMAGINED) -> Numbers:
    """S x S from what voters saw: each state is named rightly, or mistaken, as often as they did.

    Shapes: `counts` is S x (S+1): rows the true state, columns what was seen and last any state not listed.
    Errors: ValueError where the shape does not fit, or a count is negative or not finite.
    Source: expected counts as in Dawid & Skene 1979, smoothed by `strength` imagined looks of the plain accuracy.

    >>> learnt_confusion([[0, 0, 0], [0, 0, 0]], 0.9).round(3).tolist()
    [[0.9, 0.05], [0.05, 0.9]]
    """
    seen = np.asarray(counts, dtype=np.float64)
    states = len(seen)
    if seen.shape != (states, states + 1) or not (np.isfinite(seen) & (seen >= 0)).all():
        raise ValueError(f"counts must be S x (S+1) numbers, none negative, got a shape of {seen.shape}")
    plain = default_confusion(states, accuracy)
    total = seen.sum(axis=1, keepdims=True) + strength
    shares: Numbers = (seen[:, :-1] + strength * plain) / total
    return shares


class Expectations:
    """A table with priors and confusions, made once and asked often.

    `prior`:      V weights, none negative, in any unit, such as abundances; flat where left out.
    `not_listed`: prior probability that the item is none of these, 0 to below 1; 1 where there are no variants.
    `confusion`:  by trait key, S x S: rows the true state, columns what is seen. What a row lacks to 1 is the
                  chance of being taken for none of the listed states.
    `accuracy`:   stands for the confusions left out.
    Errors:       ValueError saying which of them is no probability or does not fit the table.
    """

    def __init__(
        self,
        table: Table,
        *,
        prior: ArrayLike | None = None,
        not_listed: float = UNLISTED,
        confusion: Mapping[str, ArrayLike] | None = None,
        accuracy: float = ACCURACY,
        novelty: float = NOVELTY,
    ) -> None:
        if not 0 <= not_listed < 1:
            raise ValueError(f"the prior of not listed must be 0 or more and below 1, got {not_listed}")
        if not 0 < novelty < 1:
            raise ValueError(f"novelty must lie between 0 and 1, got {novelty}")
        self.table = table
        self.novelty = novelty
        self.not_listed = not_listed if len(table.variants) else 1.0
        self.prior = _shares(prior, len(table.variants))
        self._seeing = [_seeing(default_confusion(len(t.states), accuracy)) for t in table.traits]
        for key, matrix in (confusion or {}).items():
            number = table.position(key)
            self._seeing[number] = _seeing(_checked(matrix, table.traits[number]))
        self._is_flat = prior is None
        self._found: dict[int, Numbers] = {}

    @cached_property
    def log_prior(self) -> Numbers:
        """V natural logarithms; minus infinity where a prior is 0."""
        with np.errstate(divide="ignore"):
            logs: Numbers = np.log(self.prior * (1 - self.not_listed))
        return logs

    def masses(self, trait: int, weights: Numbers | None) -> Numbers:
        """What the variants weigh by state: S+1 sums, the first over those whose state is not known.

        Shapes: `weights` are V numbers; None counts the variants.
        """
        column = self.table.cells[:, trait]
        states = len(self.table.traits[trait].states)
        sums: Numbers = np.bincount(column + 1, weights=weights, minlength=states + 1).astype(np.float64)
        return sums

    def spread(self, trait: int, by_row: NDArray[Any], out: NDArray[Any]) -> NDArray[Any]:
        """Each variant's own entry of S+2 by row, written into V places of the same kind."""
        # Clipping spares numpy a check of each place; no cell lies outside.
        np.take(np.roll(by_row, 1), self.table.cells[:, trait] + 1, mode="clip", out=out)
        return out

    def found(self, trait: int) -> Numbers:
        """The share of each state of a trait among the variants: S numbers that sum to 1."""
        if trait not in self._found:
            variants, states = len(self.table.variants), len(self.table.traits[trait].states)
            counts = self.masses(trait, None if self._is_flat else self.prior * variants)[1:]
            self._found[trait] = (counts + 1 / states) / (counts.sum() + 1)
        return self._found[trait]

    def by_row(self, trait: int, by_state: Numbers) -> Numbers:
        """From S+1 likelihoods (by state, and some other) to S+2: by state, not listed, not known."""
        unknown = self.found(trait) @ by_state[:-1]
        unlisted = (1 - self.novelty) * unknown + self.novelty * by_state[-1]
        rows: Numbers = np.maximum(np.concatenate([by_state[:-1], [unlisted], [unknown]]), LEAST)
        return rows

    def answers(self, trait: int) -> Numbers:
        """(S+2) x (S+1): by row, the chance of each answer; the last answer is "none of these"."""
        return self.by_row(trait, self._seeing[trait])

    def evidence(self, observations: Sequence[Observation]) -> tuple[dict[int, Numbers], set[int]]:
        """What was learnt, and all that was answered, by number of the trait.

        Shapes: S+2 likelihoods for each trait learnt, by row, the largest made about 1.
        Errors: ValueError where an observation names a trait or state that is not the table's, or a trait comes
                twice: which answer holds, only the observer can say.
        """
        learnt: dict[int, Numbers] = {}
        answered: set[int] = set()
        for observation in observations:
            number = self.table.position(observation.trait)
            if number in answered:
                raise ValueError(f"trait {observation.trait} was answered twice: keep one of the answers")
            answered.add(number)
            by_state = likelihoods(observation, self.table.traits[number], self._seeing[number])
            if by_state is not None:
                learnt[number] = self.by_row(number, by_state / (by_state.max() or 1))
        return learnt, answered


def _shares(prior: ArrayLike | None, variants: int) -> Numbers:
    if prior is None:
        return np.full(variants, 1 / max(variants, 1))
    weights = np.asarray(prior, dtype=np.float64)
    if weights.shape != (variants,):
        raise ValueError(
            f"the prior must have one weight for each of {variants} variants, got {weights.shape}"
        )
    if not (np.isfinite(weights).all() and (weights >= 0).all() and (weights.sum() > 0 or not variants)):
        raise ValueError("the weights of the prior must be finite, not negative, and not all 0")
    return weights / weights.sum() if variants else weights


def _checked(matrix: ArrayLike, trait: Trait) -> NDArray[np.float64]:
    confusion = np.asarray(matrix, dtype=np.float64)
    states = len(trait.states)
    if confusion.shape != (states, states):
        raise ValueError(
            f"the confusion of trait {trait.key} must be {states} x {states}, got {confusion.shape}"
        )
    if not all(isfinite(x) and x >= 0 for x in confusion.flat) or (confusion.sum(axis=1) > 1 + 1e-9).any():
        raise ValueError(
            f"each row of the confusion of trait {trait.key} must hold chances of at most 1 in all"
        )
    return confusion


def _seeing(confusion: Numbers) -> Numbers:
    """(S+1) x (S+1): with "none of these" as last answer and "some other state" as last truth.

    A state that is not listed is known for one as often as listed ones are named rightly, on average.
    """
    states = len(confusion)
    accuracy = np.trace(confusion) / states
    seeing = np.empty((states + 1, states + 1))
    seeing[:-1, :-1] = confusion
    seeing[:-1, -1] = np.maximum(1 - confusion.sum(axis=1), 0)
    seeing[-1, :-1] = (1 - accuracy) / states
    seeing[-1, -1] = accuracy
    return seeing
