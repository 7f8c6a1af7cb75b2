"""Which statements cannot all hold, and which of them to doubt first.

A set of statements is inconsistent exactly when its edges, with those that always hold, close a negative cycle;
so a smallest inconsistent set is the labels on some negative cycle. Paths with at most k labelled edges are
shortest paths in layers (Bellman and Ford), which gives the cycle with the fewest labelled edges. That is the
smallest set unless a statement with two edges is used twice; such statements are then tried as bought beforehand,
their edges free, which is exact while there are few ways to buy.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb
from typing import Literal

import numpy as np

from .network import Edge, Inconsistent, Matrix, closure, direct, tightened
from .statements import Statement

Bounded = tuple[tuple[int, int], ...]  # pairs of moments

TRIES = 300  # purchases of two-edged statements that are worked through before settling for less


@dataclass(frozen=True, slots=True)
class Conflict:
    """Statements that cannot all hold; without any one of them the rest of these can.

    `guarantee` is `smallest` where no inconsistent set has fewer statements, and `irreducible` where that was
    not settled; `at_least` is how many the smallest has in any case. `doubt` lists the same ids, least supported
    first, then by id.
    """

    statements: tuple[str, ...]
    doubt: tuple[str, ...]
    guarantee: Literal["smallest", "irreducible"]
    at_least: int


class Contradictions:
    """The search for conflicts among statements, each an index into `statements` with its edges."""

    def __init__(
        self, size: int, background: Iterable[Edge], edges: Iterable[Edge], statements: Sequence[Statement]
    ) -> None:
        self._size = size
        self._free = closure(direct(size, background))
        self._statements = statements
        self._edges: dict[int, list[Edge]] = defaultdict(list)
        for edge in edges:
            self._edges[edge.statement].append(edge)
        self._alike: dict[Bounded, list[int]] = defaultdict(list)
        for index, own in self._edges.items():
            self._alike[_bounded(own)].append(index)

    def holds(self, kept: Iterable[int]) -> bool:
        """Whether these statements can all hold together."""
        return self._tightened(kept) is not None

    def smallest(self) -> Conflict | None:
        """The smallest conflict among all statements, None where there is none.

        Cost: for m moments, e edges and a conflict of k statements about k m (e + m^2), and m^3 per try.
        """
        everything = range(len(self._statements))
        found = self.among(everything)
        if found is None:
            return None
        uses = len(self._cycle(everything, (), self._size) or ())
        lower = -(-uses // 2)
        for target in range(lower, len(found)):
            tries = [*self._purchases(everything, uses, target)]
            if len(tries) > TRIES:
                return self._conflict(found, "irreducible", target)
            for bought in tries:
                rest = self._cycle(everything, bought, target - len(bought))
                if rest is not None:
                    return self._conflict({*bought, *rest}, "smallest", target)
        return self._conflict(found, "smallest", len(found))

    def among(self, kept: Iterable[int]) -> set[int] | None:
        """An irreducible conflict among the kept statements, with few statements; None where they can all hold."""
        members = list(kept)
        if self.holds(members):
            return None  # which looking for cycles of every length would take long to say
        conflict = set(self._cycle(members, (), self._size) or ())
        for index in sorted(conflict, key=lambda i: (-self._statements[i].support, i)):
            if len(conflict) > 1 and not self.holds(conflict - {index}):
                conflict.discard(index)
        return conflict

    def likewise(self, conflict: set[int]) -> Iterator[set[int]]:
        """The conflict, and those like it: one member exchanged for another that bounds the same moments.

        A hundred early sightings that contradict one notice are so found together, not one by one.
        """
        yield conflict
        for index in sorted(conflict):
            for other in self._alike[_bounded(self._edges[index])]:
                if other not in conflict and not self.holds({*conflict, other} - {index}):
                    yield {*conflict, other} - {index}

    def _purchases(self, kept: Iterable[int], uses: int, target: int) -> Iterator[tuple[int, ...]]:
        """Sets of two-edged statements that a conflict of `target` statements might use twice.

        A cycle of that many labels uses each at most twice, and no cycle has fewer than `uses` labelled edges.
        """
        twice = [i for i in kept if self._statements[i].kind in ("alongside", "returned", "coded")]
        for number in range(max(0, uses - target), target + 1):
            if comb(len(twice), number) > TRIES:
                yield from [()] * (TRIES + 1)
                return
            yield from combinations(twice, number)

    def _cycle(self, kept: Iterable[int], bought: Iterable[int], most: int) -> list[int] | None:
        """The labels of a negative cycle with the fewest labelled edges, at most `most`; None where none is.

        Edges of bought statements count as none.
        """
        free = self._tightened(bought)
        if free is None:
            return []
        edges = sorted(self._of(set(kept) - set(bought)), key=lambda edge: edge.head)
        if not edges:
            return None
        layers = [free]
        for _ in range(most):
            layers.append(_one_more(layers[-1], edges, free))
            negative = np.flatnonzero(layers[-1].diagonal() < 0)
            if len(negative):
                return _labels(layers, edges, free, int(negative[0]))
            if np.array_equal(layers[-1], layers[-2]):
                return None
        return None

    def _tightened(self, statements: Iterable[int]) -> Matrix | None:
        """What always holds, tightened by these statements; None where they contradict each other."""
        try:
            return tightened(self._free, self._of(statements))
        except Inconsistent:
            return None

    def _of(self, statements: Iterable[int]) -> list[Edge]:
        return [edge for index in sorted(set(statements)) for edge in self._edges[index]]

    def _conflict(
        self, members: Iterable[int], guarantee: Literal["smallest", "irreducible"], at_least: int
    ) -> Conflict:
        named = [self._statements[index] for index in sorted(members)]
        doubt = sorted(named, key=lambda s: (s.support, s.id))
        return Conflict(tuple(s.id for s in named), tuple(s.id for s in doubt), guarantee, at_least)


def _bounded(edges: Iterable[Edge]) -> Bounded:
    return tuple(sorted((edge.tail, edge.head) for edge in edges))


def _one_more(layer: Matrix, edges: Sequence[Edge], free: Matrix) -> Matrix:
    """Shortest paths with one more labelled edge than the layer allows, free edges before and after."""
    heads = np.array([edge.head for edge in edges])
    starts = np.flatnonzero(np.r_[True, heads[1:] != heads[:-1]])
    steps = layer[:, [edge.tail for edge in edges]] + np.array([edge.days for edge in edges])
    reached = np.minimum.reduceat(steps, starts, axis=1)
    longer = layer.copy()
    for column, head in enumerate(heads[starts]):
        np.minimum(longer, reached[:, column, None] + free[head], out=longer)
    return longer


def _labels(layers: Sequence[Matrix], edges: Sequence[Edge], free: Matrix, moment: int) -> list[int]:
    """The labels along the cycle through the moment, walked back from the last layer."""
    tails, heads = [edge.tail for edge in edges], [edge.head for edge in edges]
    days = np.array([edge.days for edge in edges])
    labels, end = [], moment
    for level in range(len(layers) - 1, 0, -1):
        if layers[level][moment, end] == layers[level - 1][moment, end]:
            continue
        last = int(np.argmin(layers[level - 1][moment, tails] + days + free[heads, end]))
        labels.append(edges[last].statement)
        end = tails[last]
    return labels
