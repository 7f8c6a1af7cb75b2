"""What to look at next, and when looking further would not change the answer."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass

import numpy as np

from .expectations import Expectations
from .observations import Numbers
from .table import Need

ENOUGH_BITS = 0.01  # a check expected to tell less than this is not worth a look
LIKELY = 0.5  # an answer less likely than this is no answer yet, however little one check would change it
CLEARLY = 1e-9  # by how much a score must be higher to count


@dataclass(frozen=True, slots=True)
class Check:
    """A trait not yet seen; `bits` is what a look at it is expected to tell."""

    trait: str
    bits: float
    effort: float
    needs: frozenset[Need]

    @property
    def worth(self) -> float:
        """Bits per effort."""
        return self.bits / self.effort


@dataclass(frozen=True, slots=True)
class Advice:
    """`next` is the check to make now, or None for stop; `reason` is one of:

    go_on              the next check may change the answer, or the answer is not yet likely (below a half)
    nothing_left       every trait that can be inspected now has been
    settled            whatever any one check shows, the answer stays
    little_to_gain     the best check is expected to tell too little
    `later` is the best check among those that need something not at hand, where it is worth making; `missing` is
    what it needs.
    """

    next: Check | None
    reason: str
    later: Check | None = None
    missing: frozenset[Need] = frozenset()


def checks_by_worth(
    expected: Expectations, posterior: Numbers, not_listed: float, answered: Container[int]
) -> list[Check]:
    """Every trait not yet answered, most bits per effort first; equals in the table's order.

    Source: mutual information of the variant and the answer (Shannon 1948), "not listed" being one more variant.
    """
    checks = [
        Check(trait.key, _gain(expected, number, posterior, not_listed), trait.effort, trait.needs)
        for number, trait in enumerate(expected.table.traits)
        if number not in answered
    ]
    return sorted(checks, key=lambda check: -round(check.worth, 9))


def _gain(expected: Expectations, trait: int, posterior: Numbers, not_listed: float) -> float:
    """Uncertainty of the answer less what is left of it once the variant is known, in bits, 0 or more.

    Variants matter only through their state, so the sums run over states: what each weighs, times the
    entropy of the answers that it leads to.
    """
    answers = expected.answers(trait)
    weighed = expected.masses(trait, posterior)
    by_row = np.concatenate([weighed[1:], [not_listed], weighed[:1]])
    told = _entropy(by_row @ answers) - float(by_row @ _entropies(answers))
    return max(told, 0.0)


def advise(
    expected: Expectations,
    scores: Numbers,
    unlisted: float,
    likeliest: float,
    checks: Sequence[Check],
    at_hand: frozenset[Need],
    enough_bits: float,
) -> Advice:
    """Go on or stop. `checks` are all that are left, best first; `scores` logs of prior times likelihood;
    `likeliest` the probability of the answer so far.
    """
    allowed = [check for check in checks if check.needs <= at_hand]
    later = next((c for c in checks if not c.needs <= at_hand and c.bits >= enough_bits), None)
    missing = later.needs - at_hand if later else frozenset()
    if not allowed:
        return Advice(None, "nothing_left", later, missing)
    worthwhile = [check for check in allowed if check.bits >= enough_bits]
    if not worthwhile:
        return Advice(None, "little_to_gain", later, missing)
    positions = (expected.table.position(check.trait) for check in allowed)
    if likeliest < LIKELY or any(_may_change(expected, trait, scores, unlisted) for trait in positions):
        return Advice(worthwhile[0], "go_on", later, missing)
    return Advice(None, "settled", later, missing)


def _may_change(expected: Expectations, trait: int, scores: Numbers, unlisted: float) -> bool:
    """Whether some answer would put another hypothesis clearly above the one that leads now.

    For each answer, the best score that any variant of each state could reach is compared with the leader's.
    """
    logs = np.log(expected.answers(trait))
    column = expected.table.cells[:, trait]
    best = np.full(len(logs), -np.inf)
    best[-2] = unlisted
    leader = int(scores.argmax()) if len(scores) else -1
    leads = len(scores) > 0 and scores[leader] >= unlisted
    row = int(column[leader]) if leads else -2
    highest = scores[leader] if leads else unlisted
    # No answer can lift a score by more than the likelihoods' widest ratio: lower ones are out of reach.
    reach = float((logs.max(axis=0) - logs[row]).max())
    near = np.flatnonzero(scores >= highest - reach)
    np.maximum.at(best, column[near], scores[near])
    after = (best[:, np.newaxis] + logs).max(axis=0)
    return bool((after > highest + logs[row] + CLEARLY).any())


def _entropies(chances: Numbers) -> Numbers:
    """Bits, row by row; 0 log 0 is 0."""
    logs = np.log2(chances, out=np.zeros_like(chances), where=chances > 0)
    entropies: Numbers = -(chances * logs).sum(axis=-1)
    return entropies


def _entropy(chances: Numbers) -> float:
    return float(_entropies(chances))
