"""Difference constraints against a published example and against networkx."""

import networkx as nx
import numpy as np
import pytest

from registry.methods.sequence.network import Edge, Inconsistent, closure, direct, is_consistent, tightened
from tests.methods.random_statements import as_graph, random_edges


def between(tail: int, head: int, least: int, most: int) -> list[Edge]:
    return [Edge(tail, head, most), Edge(head, tail, -least)]


def test_the_published_example_of_two_men_going_to_work():
    """Dechter, Meiri and Pearl 1991, example 1.1, John by car and Fred by car pool; moment 0 is 7:00.

    The times are from the paper's text and the table is its minimal distance graph; both from memory, and the
    table is also what networkx finds (next assertion).
    """
    edges = [
        *between(0, 1, 10, 20),  # John leaves between 7:10 and 7:20
        *between(1, 2, 30, 40),  # and drives 30 to 40 minutes
        *between(3, 2, 10, 20),  # arriving 10 to 20 minutes after Fred left
        *between(3, 4, 40, 50),  # Fred takes 40 to 50 minutes
        *between(0, 4, 60, 70),  # and arrives between 8:00 and 8:10
    ]
    tightest = closure(direct(5, edges))
    assert tightest.tolist() == [
        [0, 20, 50, 30, 70],
        [-10, 0, 40, 20, 60],
        [-40, -30, 0, -10, 30],
        [-20, -10, 20, 0, 50],
        [-60, -50, -20, -40, 0],
    ]
    assert np.array_equal(tightest, nx.floyd_warshall_numpy(as_graph(5, edges)))


def test_a_thousand_random_networks_have_the_shortest_paths_and_cycles_of_networkx():
    rng = np.random.default_rng(6)
    consistent = 0
    for _ in range(1000):
        size, edges = random_edges(rng)
        graph = as_graph(size, edges)
        tightest = closure(direct(size, edges))
        assert is_consistent(tightest) == (not nx.negative_edge_cycle(graph))
        if is_consistent(tightest):
            consistent += 1
            assert np.array_equal(tightest, nx.floyd_warshall_numpy(graph))
    assert 200 < consistent < 800


def test_adding_an_edge_equals_computing_afresh():
    rng = np.random.default_rng(61)
    fitting = contradicting = 0
    for _ in range(300):
        size, edges = random_edges(rng)
        *earlier, last = edges or [Edge(0, 1, 1)]
        before = closure(direct(size, earlier))
        afresh = closure(direct(size, [*earlier, last]))
        if not is_consistent(before):
            continue
        if is_consistent(afresh):
            fitting += 1
            assert np.array_equal(tightened(before, [last]), afresh)
        else:
            contradicting += 1
            with pytest.raises(Inconsistent):
                tightened(before, [last])
    assert fitting > 50
    assert contradicting > 5


def test_adding_an_edge_leaves_the_matrix_handed_in_as_it_was():
    before = closure(direct(2, []))
    tightened(before, [Edge(0, 1, 5)])
    assert np.isinf(before[0, 1])
