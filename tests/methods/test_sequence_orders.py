"""Orders: published counts of linear extensions, and reductions against networkx."""

from itertools import product
from math import factorial

import networkx as nx
import numpy as np
import pytest

from registry.methods.sequence import count_orders, reduction


def order(size: int, pairs) -> np.ndarray:
    closed = nx.transitive_closure(nx.DiGraph(list(pairs)))
    before = np.zeros((size, size), dtype=bool)
    for earlier, later in closed.edges:
        before[earlier, later] = True
    return before


def grid(rows: int, columns: int) -> np.ndarray:
    cells = list(product(range(rows), range(columns)))
    return np.array([[a != b and a[0] <= b[0] and a[1] <= b[1] for b in cells] for a in cells])


def fence(size: int) -> np.ndarray:
    return order(size, [(i, i + 1) if i % 2 == 0 else (i + 1, i) for i in range(size - 1)])


def subsets(size: int) -> np.ndarray:
    return np.array([[a != b and a & b == a for b in range(1 << size)] for a in range(1 << size)])


PUBLISHED = [
    ("nothing known of 5: 5!", np.zeros((5, 5), dtype=bool), 120),
    ("a chain of 6", order(6, [(i, i + 1) for i in range(5)]), 1),
    ("2 x 2 grid: Catalan numbers, OEIS A000108", grid(2, 2), 2),
    ("2 x 3 grid: Catalan numbers, OEIS A000108", grid(2, 3), 5),
    ("2 x 4 grid: Catalan numbers, OEIS A000108", grid(2, 4), 14),
    ("2 x 5 grid: Catalan numbers, OEIS A000108", grid(2, 5), 42),
    ("3 x 3 grid: hook length formula", grid(3, 3), 42),
    ("fence of 3: Euler zigzag numbers, OEIS A000111; Stanley EC1 1.6", fence(3), 2),
    ("fence of 4: OEIS A000111", fence(4), 5),
    ("fence of 5: OEIS A000111", fence(5), 16),
    ("fence of 6: OEIS A000111", fence(6), 61),
    ("fence of 7: OEIS A000111", fence(7), 272),
    ("fence of 8: OEIS A000111", fence(8), 1385),
    ("subsets of 1: OEIS A046873", subsets(1), 1),
    ("subsets of 2: OEIS A046873", subsets(2), 2),
    ("subsets of 3: OEIS A046873", subsets(3), 48),
    ("subsets of 4: OEIS A046873", subsets(4), 1680384),
    ("two chains of 3: C(6, 3)", order(6, [(0, 1), (1, 2), (3, 4), (4, 5)]), 20),
    ("two pairs", order(4, [(0, 1), (2, 3)]), 6),
]


@pytest.mark.parametrize(
    ("before", "orders"), [row[1:] for row in PUBLISHED], ids=[row[0] for row in PUBLISHED]
)
def test_published_counts_of_linear_extensions(before, orders):
    assert count_orders(before) == orders


def test_twenty_unrelated_variants_have_20_factorial_orders():
    assert count_orders(np.zeros((20, 20), dtype=bool)) == factorial(20)


def test_one_before_nineteen_unrelated_others_leaves_19_factorial_orders():
    before = np.zeros((20, 20), dtype=bool)
    before[0, 1:] = True
    assert count_orders(before) == factorial(19)


def test_counting_part_by_part_equals_counting_set_by_set():
    """One element beside a stack of two fences of 4: 9 places for it, times 5 orders of each."""
    before = np.zeros((9, 9), dtype=bool)
    before[:4, :4] = before[4:8, 4:8] = fence(4)
    before[:4, 4:8] = True
    assert count_orders(before) == 9 * 5 * 5


def test_orders_of_more_than_twenty_variants_are_not_counted():
    assert count_orders(np.zeros((21, 21), dtype=bool)) is None


def test_counts_and_reductions_of_random_orders_are_those_of_networkx():
    rng = np.random.default_rng(1972)
    for _ in range(1000):
        size = int(rng.integers(1, 8))
        graph = nx.DiGraph()
        graph.add_nodes_from(range(size))
        graph.add_edges_from((i, j) for i in range(size) for j in range(i + 1, size) if rng.random() < 0.35)
        before = nx.to_numpy_array(nx.transitive_closure_dag(graph), nodelist=range(size)) > 0
        expected = set(nx.transitive_reduction(graph).edges)
        assert {(i, j) for i, j in np.argwhere(reduction(before)).tolist()} == expected
        if size < 6:
            assert count_orders(before) == sum(1 for _ in nx.all_topological_sorts(graph))


@pytest.mark.parametrize("pairs", [[(0, 0)], [(0, 1), (1, 0)], [(0, 1), (1, 2)]])
def test_what_is_no_strict_order_is_refused(pairs):
    relation = np.zeros((3, 3), dtype=bool)
    for earlier, later in pairs:
        relation[earlier, later] = True
    with pytest.raises(ValueError, match="strict order"):
        reduction(relation)
    with pytest.raises(ValueError, match="strict order"):
        count_orders(relation)
