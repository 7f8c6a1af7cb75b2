"""The lightest choice of elements that meets every one of given sets: a minimum hitting set.

Whole numbers serve as sets: in a *set* or a *choice*, bit t stands for element t; in what an element *meets*, bit
n stands for the n-th set, the smallest sets first. The search is branch and bound: the smallest set not yet met
is met by each of its elements in turn, elements tried before being forbidden after; a branch is left when what it
has, and a lower bound of what it still needs, is no better than the best found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import ceil, inf

SLACK = 1e-9
SOUNDED = 100  # how many of the smallest sets not yet met are looked at one by one


@dataclass(frozen=True, slots=True)
class Choice:
    """`chosen` meets every set at this `weight`; no choice is lighter than `bound`."""

    chosen: int
    weight: float
    bound: float
    nodes: int

    @property
    def is_proved(self) -> bool:
        return self.bound >= self.weight - SLACK


def lightest(sets: Sequence[int], weights: Sequence[float], budget: int) -> Choice:
    """The lightest choice, proved; or the best found when `budget` branches were tried, with its bound.

    Shapes: no set is empty; a positive weight for each element.
    Source: two lower bounds, each of them a relaxation of set covering: a feasible dual solution of its linear
            program (weak duality; Bar-Yehuda & Even 1981), and the elements that meet most per weight until as
            many are met as there are sets. Rounded up where all weights are whole.
    """
    search = _Search(sets, weights, budget)
    at_root = search.bound(search.all_sets, 0)
    search.branch(search.all_sets, 0, 0.0, 0)
    if search.nodes <= budget:
        return Choice(search.best, search.best_weight, search.best_weight, search.nodes)
    return Choice(search.best, search.best_weight, min(at_root, search.best_weight), budget)


def weigh(chosen: int, weights: Sequence[float]) -> float:
    return sum(weights[element] for element in elements(chosen))


def elements(bits: int) -> Iterator[int]:
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest


class _Search:
    def __init__(self, sets: Sequence[int], weights: Sequence[float], budget: int) -> None:
        self.sets = sorted(sets, key=int.bit_count)
        self.weights, self.budget = weights, budget
        self.all_sets = (1 << len(sets)) - 1
        self.meets = [
            int("".join("1" if each >> element & 1 else "0" for each in reversed(self.sets)) or "0", 2)
            for element in range(len(weights))
        ]
        self.whole = all(weight == int(weight) for weight in weights)
        self.nodes = 0
        self.best = self._greedy()
        self.best_weight = weigh(self.best, weights)

    def branch(self, unmet: int, chosen: int, weight: float, forbidden: int) -> None:
        if not unmet:
            self.best, self.best_weight = chosen, weight  # only lighter choices get here
            return
        first = min((self.sets[n] & ~forbidden for n in _first(unmet, SOUNDED)), key=int.bit_count)
        worth = {e: (self.meets[e] & unmet).bit_count() / self.weights[e] for e in elements(first)}
        for element in sorted(worth, key=lambda e: (-worth[e], e)):
            self.nodes += 1
            if self.nodes > self.budget:
                return
            heavier, rest = weight + self.weights[element], unmet & ~self.meets[element]
            if heavier + self.bound(rest, forbidden) < self.best_weight - SLACK:
                self.branch(rest, chosen | 1 << element, heavier, forbidden)
            forbidden |= 1 << element

    def bound(self, unmet: int, forbidden: int) -> float:
        """No choice that meets these sets without the forbidden elements is lighter."""
        least = max(self._by_counting(unmet, forbidden), self._by_duality(unmet, forbidden))
        return ceil(least - SLACK) if self.whole and least < inf else least

    def _by_counting(self, unmet: int, forbidden: int) -> float:
        wanting, total = unmet.bit_count(), 0.0
        free = [e for e in range(len(self.weights)) if not forbidden >> e & 1]
        counts = sorted(
            (((self.meets[e] & unmet).bit_count(), self.weights[e]) for e in free),
            key=lambda pair: -pair[0] / pair[1],
        )
        for met, weight in counts:
            if met >= wanting:
                return total + (weight * wanting / met if met else 0.0)
            total, wanting = total + weight, wanting - met
        return inf

    def _by_duality(self, unmet: int, forbidden: int) -> float:
        """Each set in turn takes as much as every one of its elements can still give; the first sets will do."""
        left: dict[int, float] = {}
        total, spent = 0.0, 0  # spent: elements with nothing left to give
        for number in _first(unmet, SOUNDED):
            free = self.sets[number] & ~forbidden
            if not free:
                return inf
            if free & spent:
                continue
            takes = min(left.get(element, self.weights[element]) for element in elements(free))
            total += takes
            for element in elements(free):
                left[element] = left.get(element, self.weights[element]) - takes
                if left[element] <= SLACK:
                    spent |= 1 << element
        return total

    def _greedy(self) -> int:
        """What meets most sets per weight, again and again; then without what turned out not to be needed."""
        chosen, unmet = 0, self.all_sets
        while unmet:
            worth = [(m & unmet).bit_count() / w for m, w in zip(self.meets, self.weights, strict=True)]
            best = worth.index(max(worth))
            chosen |= 1 << best
            unmet &= ~self.meets[best]
        for element in sorted(elements(chosen), key=lambda e: -self.weights[e]):
            without = chosen & ~(1 << element)
            if all(each & without for each in self.sets):
                chosen = without
        return chosen


def _first(unmet: int, most: int) -> Iterator[int]:
    """The numbers of the first sets among these: the lowest bits, at most so many."""
    return islice(elements(unmet), most)
