"""The answer: every variant's probability, that of none of them, and what speaks for and against the best."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log, log2

import numpy as np
from numpy.typing import NDArray

from .expectations import Expectations
from .next_check import ENOUGH_BITS, Advice, Check, advise, checks_by_worth
from .observations import Numbers, Observation
from .table import EVERYTHING, Need, Table

SPEAKS_AT = 0.2  # bits from which an observation is said to speak for or against a variant
NEARLY = 1e-9  # scores closer than this count as equal, so that every machine gives the same order


@dataclass(frozen=True, slots=True)
class Ground:
    """What one observation says about one variant.

    `bits` is log2 of how much likelier the observation is with this variant than with one that is not listed:
    above 0 it speaks for the variant, below 0 against it. `state` is the variant's own state's key, empty where
    it is not known.
    """

    trait: str
    state: str
    bits: float

    @property
    def speaks(self) -> str:
        """`for`, `against` or `neither`."""
        if abs(self.bits) < SPEAKS_AT:
            return "neither"
        return "for" if self.bits > 0 else "against"


@dataclass(frozen=True, slots=True)
class Candidate:
    variant: str
    posterior: float
    grounds: tuple[Ground, ...]


@dataclass(frozen=True, slots=True)
class Identification:
    """`posterior` (V numbers) and `not_listed` sum to 1; `candidates` are the best, most probable first.

    `fitting` is how many variants have no observation speaking against them: 0 says that no listed variant has
    all of what was seen, be it a new one or a slip. `learnt` names the traits that told something.
    """

    candidates: tuple[Candidate, ...]
    not_listed: float
    posterior: Numbers = field(repr=False, compare=False)
    fitting: int
    learnt: tuple[str, ...]
    checks: tuple[Check, ...]
    advice: Advice

    @property
    def not_listed_is_likeliest(self) -> bool:
        return not self.candidates or self.not_listed > self.candidates[0].posterior


def identify(
    table: Table | Expectations,
    observations: Sequence[Observation] = (),
    *,
    at_hand: Iterable[Need] = EVERYTHING,
    keep: int = 10,
    enough_bits: float = ENOUGH_BITS,
) -> Identification:
    """Rank the variants of a table by what was seen, and say what to look at next.

    Shapes: V variants by T traits; at most one observation per trait. A table alone is taken with the plain
            expectations; make `Expectations` for priors, confusions and an estimate of the unlisted.
    Units:  probabilities 0 to 1, gains in bits.
    Errors: ValueError where an observation names what is not the table's, or a trait is answered twice.
    Source: Bayes' rule with independent traits; Shannon 1948 for the gain.
    Cost:   linear in V x T; memory of a few numbers per variant beside the table.

    Nothing observed, or nothing visible, leaves the priors. No variants leave only "not listed". Variants of
    the same known states share their probability and stay in the table's order.

    >>> from registry.methods.identify import Seen, Trait
    >>> wheels = Trait("wheels", ("gold", "silver"))
    >>> known = Table.of([wheels], {"a": {"wheels": "gold"}, "b": {"wheels": "silver"}})
    >>> identify(known, [Seen("wheels", "silver")]).candidates[0].variant
    'b'
    """
    expected = table if isinstance(table, Expectations) else Expectations(table)
    if keep < 1:
        raise ValueError(f"keep at least one candidate, got {keep}")
    learnt, answered = expected.evidence(observations)
    scores, unlisted = _scores(expected, learnt)
    posterior, not_listed = _normalised(scores, unlisted)
    checks = checks_by_worth(expected, posterior, not_listed, answered)
    likeliest = max(not_listed, float(posterior.max(initial=0.0)))
    have, traits = frozenset(at_hand), expected.table.traits
    return Identification(
        candidates=tuple(
            Candidate(expected.table.variants[row], float(posterior[row]), _grounds(expected, learnt, row))
            for row in best_first(scores, keep)
        ),
        not_listed=not_listed,
        posterior=posterior,
        fitting=_fitting(expected, learnt),
        learnt=tuple(traits[number].key for number in learnt),
        checks=tuple(check for check in checks if check.needs <= have),
        advice=advise(expected, scores, unlisted, likeliest, checks, have, enough_bits),
    )


def best_first(scores: Numbers, keep: int) -> list[int]:
    """Rows of the highest scores; equal ones in the table's order."""
    rounded = np.round(scores / NEARLY)
    if len(scores) > keep:
        least = np.partition(rounded, len(scores) - keep)[len(scores) - keep]
        rows = np.flatnonzero(rounded >= least)
    else:
        rows = np.arange(len(scores))
    order = np.argsort(-rounded[rows], kind="stable")[:keep]
    return [int(row) for row in rows[order]]


def _scores(expected: Expectations, learnt: Mapping[int, Numbers]) -> tuple[Numbers, float]:
    """Log of prior times likelihood, for each variant and for "not listed"."""
    scores = expected.log_prior.copy()
    unlisted = log(expected.not_listed) if expected.not_listed else -np.inf
    each = np.empty_like(scores)
    for number, by_row in learnt.items():
        logs = np.log(by_row)
        scores += expected.spread(number, logs, each)
        unlisted += float(logs[-2])
    return scores, unlisted


def _normalised(scores: Numbers, unlisted: float) -> tuple[Numbers, float]:
    highest = max(unlisted, scores.max(initial=-np.inf))
    weights = np.exp(scores - highest)
    beside = exp(unlisted - highest)
    total = float(weights.sum()) + beside
    weights /= total
    return weights, beside / total


def _grounds(expected: Expectations, learnt: Mapping[int, Numbers], row: int) -> tuple[Ground, ...]:
    grounds = []
    for number, by_row in learnt.items():
        trait, cell = expected.table.traits[number], int(expected.table.cells[row, number])
        bits = log2(by_row[cell] / by_row[-2])
        grounds.append(Ground(trait.key, trait.states[cell] if cell >= 0 else "", bits))
    return tuple(grounds)


def _fitting(expected: Expectations, learnt: Mapping[int, Numbers]) -> int:
    fits: NDArray[np.bool_] = np.ones(len(expected.table.variants), dtype=np.bool_)
    each = np.empty_like(fits)
    for number, by_row in learnt.items():
        fits &= expected.spread(number, np.log2(by_row / by_row[-2]) > -SPEAKS_AT, each)
    return int(fits.sum())
