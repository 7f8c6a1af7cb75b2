"""The order that follows: what lies before what for certain, its drawing, and how many lists agree with it."""

from math import comb

import numpy as np
from numpy.typing import NDArray

Relation = NDArray[np.bool_]

COUNTABLE = 20  # variants; past that the number of orders is not computed


def reduction(before: Relation) -> Relation:
    """The fewest pairs that say the same: those with nothing in between.

    Shapes: n x n, before[i, j] where i lies before j for certain; the same shape out.
    Errors: ValueError where the relation is no strict order: some i before itself, or not transitive.
    Source: Aho, Garey and Ullman 1972; of a strict order the reduction is unique.
    """
    steps = before.astype(np.int64)
    between = steps @ steps > 0
    if before.diagonal().any() or (between & ~before).any():
        raise ValueError("a strict order is needed: nothing before itself, all that follows filled in")
    return before & ~between


def count_orders(before: Relation) -> int | None:
    """How many lists of all variants keep to a strict order; None for more than COUNTABLE variants.

    Parts that nothing connects are counted apart and shuffled together, and parts that lie wholly one after the
    other are counted apart too, so that most orders of 20 cost next to nothing.
    Errors: as `reduction`. Source: counting over down-sets; Stanley, Enumerative Combinatorics 1, chapter 3.

    >>> count_orders(np.array([[False, True, False], [False, False, False], [False, False, False]]))
    3
    """
    if len(before) > COUNTABLE:
        return None
    reduction(before)
    return _count(before)


def _count(before: Relation) -> int:
    related = before | before.T
    apart = _parts(related)
    stacked = _parts(~related) if len(apart) == 1 else apart
    if len(stacked) == 1:
        return _count_set_by_set(before)
    orders, placed = 1, 0
    for part in stacked:
        placed += len(part)
        orders *= _count(before[np.ix_(part, part)]) * (comb(placed, len(part)) if len(apart) > 1 else 1)
    return orders


def _parts(linked: Relation) -> list[list[int]]:
    """The connected parts of a symmetric relation."""
    parts, seen = [], set[int]()
    for start in range(len(linked)):
        if start in seen:
            continue
        part, ahead = {start}, [start]
        while ahead:
            new = set(np.flatnonzero(linked[ahead.pop()]).tolist()) - part
            part |= new
            ahead += new
        seen |= part
        parts.append(sorted(part))
    return parts


def _count_set_by_set(before: Relation) -> int:
    """Ways to take the elements one by one, each after all before it: ways[set] adds up over its last element.

    Sets are bit masks, worked through by size; 20! still fits into 64 bits.
    """
    size = len(before)
    needs = [sum(1 << int(i) for i in np.flatnonzero(before[:, element])) for element in range(size)]
    ways = np.zeros(1 << size, dtype=np.int64)
    ways[0] = 1
    sets = np.zeros(1, dtype=np.int64)
    for _ in range(size):
        grown = np.zeros(1 << size, dtype=bool)
        for element, need in enumerate(needs):
            may = sets[((sets >> element) & 1 == 0) & (sets & need == need)]
            ways[may | (1 << element)] += ways[may]
            grown[may | (1 << element)] = True
        sets = np.flatnonzero(grown)
    return int(ways[-1])
