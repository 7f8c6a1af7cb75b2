"""Difference constraints: bounds on the days that lie between two moments.

Source: Dechter, Meiri and Pearl 1991, "Temporal constraint networks", Artificial Intelligence 49: a simple
temporal network is consistent exactly when its distance graph has no negative cycle, and its shortest paths
are then its tightest bounds.
"""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]


class Inconsistent(ValueError):
    """The constraints contradict each other."""


class Edge(NamedTuple):
    """The moment `head` comes at most `days` after the moment `tail`; `statement` is its index, -1 for none."""

    tail: int
    head: int
    days: float
    statement: int = -1


def direct(size: int, edges: Iterable[Edge]) -> Matrix:
    """What the edges say by themselves: days[i, j] bounds moment j minus moment i from above, inf for none."""
    days = np.full((size, size), np.inf)
    np.fill_diagonal(days, 0.0)
    for edge in edges:
        days[edge.tail, edge.head] = min(days[edge.tail, edge.head], edge.days)
    return days


def closure(days: Matrix) -> Matrix:
    """The tightest bounds that follow: shortest paths between all moments.

    Shapes: n x n in, n x n out. Units: days; whole numbers stay exact up to 2^53.
    Errors: none; where the bounds contradict each other the diagonal holds a negative number.
    Cost:   n^3 (Floyd and Warshall), one row-and-column sweep of numpy per moment.
    """
    tightest = days.copy()
    for via in range(len(tightest)):
        np.minimum(tightest, tightest[:, via, None] + tightest[via], out=tightest)
        if tightest[via, via] < 0:
            break  # lengths would double with each further sweep; the answer is known
    return tightest


def is_consistent(tightest: Matrix) -> bool:
    return bool((tightest.diagonal() >= 0).all())


def tightened(tightest: Matrix, edges: Iterable[Edge]) -> Matrix:
    """A consistent closure after some more edges, at the cost of n^2 for each that says something new.

    Errors: Inconsistent where an edge closes a negative cycle. The matrix handed in stays as it was.
    """
    days = tightest
    for edge in edges:
        if days[edge.head, edge.tail] + edge.days < 0:
            raise Inconsistent("the new bound contradicts those already there")
        if edge.days < days[edge.tail, edge.head]:
            days = np.minimum(days, days[:, edge.tail, None] + (edge.days + days[edge.head]))
    return days
