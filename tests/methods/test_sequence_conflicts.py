"""What cannot all hold, against brute force; and what is dropped for it."""

from itertools import combinations

import networkx as nx
import numpy as np
import pytest

from registry.methods.sequence import Statement, Window, put_in_order
from registry.methods.sequence import conflicts as search
from registry.methods.sequence.moments import Moments
from tests.methods.random_statements import as_graph, random_statements

VARIANTS = "abcd"


def can_hold(statements) -> bool:
    """Independent of the code under test from the edges on: networkx looks for the negative cycle."""
    moments = Moments(VARIANTS, statements)
    edges = moments.background(Window(0, 40))
    edges += [edge for index, statement in enumerate(statements) for edge in moments.edges(statement, index)]
    return not nx.negative_edge_cycle(as_graph(moments.size, edges))


def smallest_by_brute_force(statements) -> int | None:
    for size in range(1, len(statements) + 1):
        if any(not can_hold(chosen) for chosen in combinations(statements, size)):
            return size
    return None


def least_by_brute_force(statements) -> float:
    kept = [c for n in range(len(statements) + 1) for c in combinations(statements, n) if can_hold(c)]
    return sum(s.support for s in statements) - max(sum(s.support for s in chosen) for chosen in kept)


def inconsistent_cases(seed: int, number: int, statements: int):
    rng = np.random.default_rng(seed)
    while number:
        said = random_statements(rng, VARIANTS, statements)
        if not can_hold(said):
            number -= 1
            yield said


def test_the_smallest_inconsistent_set_equals_brute_force_on_300_cases():
    sizes = set()
    for said in inconsistent_cases(300, 300, 7):
        conflict = put_in_order(VARIANTS, said, Window(0, 40)).conflict
        named = [s for s in said if s.id in conflict.statements]
        sizes.add(len(named))
        assert conflict.guarantee == "smallest"
        assert len(named) == conflict.at_least == smallest_by_brute_force(said)
        assert not can_hold(named)
        assert all(can_hold([s for s in named if s is not left]) for left in named)
    assert sizes >= {2, 3}


def test_what_is_dropped_has_the_least_support_by_brute_force():
    for said in inconsistent_cases(301, 25, 7):
        dropped = put_in_order(VARIANTS, said, Window(0, 40)).dropped
        assert can_hold([s for s in said if s.id not in dropped.statements])
        assert dropped.is_least
        assert dropped.support == pytest.approx(least_by_brute_force(said))


def cycle_of_six_beside_five_that_use_two_twice() -> list[Statement]:
    six = [Statement(f"b{n}", "before", pair) for n, pair in enumerate(zip("abcdef", "bcdefa", strict=True))]
    return [
        *six,
        Statement("from", "not_before", ("x",), earliest=9),
        Statement("back", "returned", ("x", "y")),  # last x on day 11 or later
        Statement("then", "ended_by", ("x", "z")),  # first z on day 12 or later
        Statement("too", "returned", ("z", "q")),  # last z on day 14 or later
        Statement("until", "not_after", ("z",), latest=13),
    ]


def test_a_set_of_five_is_found_though_a_cycle_of_six_needs_fewer_bounds(monkeypatch):
    said = cycle_of_six_beside_five_that_use_two_twice()
    conflict = put_in_order("abcdefxyzq", said).conflict
    assert (set(conflict.statements), conflict.guarantee) == (
        {"from", "back", "then", "too", "until"},
        "smallest",
    )
    monkeypatch.setattr(search, "TRIES", 0)
    conflict = put_in_order("abcdefxyzq", said).conflict
    assert (len(conflict.statements), conflict.guarantee, conflict.at_least) == (6, "irreducible", 4)


def test_without_tries_the_conflict_is_irreducible_and_says_how_small_it_might_be(monkeypatch):
    monkeypatch.setattr(search, "TRIES", 0)
    weaker = 0
    for said in inconsistent_cases(302, 30, 7):
        conflict = put_in_order(VARIANTS, said, Window(0, 40)).conflict
        smallest = smallest_by_brute_force(said)
        named = [s for s in said if s.id in conflict.statements]
        assert conflict.at_least <= smallest <= len(named)
        assert not can_hold(named)
        assert all(can_hold([s for s in named if s is not left]) for left in named)
        weaker += conflict.guarantee == "irreducible"
    assert weaker


def test_without_rounds_what_is_dropped_still_leaves_the_rest_consistent(monkeypatch):
    monkeypatch.setattr("registry.methods.sequence.robust.ROUNDS", 0)
    for said in inconsistent_cases(303, 8, 7):
        dropped = put_in_order(VARIANTS, said, Window(0, 40)).dropped
        assert can_hold([s for s in said if s.id not in dropped.statements])
        assert dropped.at_least == 0 < dropped.support
        assert dropped.support >= least_by_brute_force(said)


def test_a_cycle_of_three_well_supported_statements_is_named_and_the_weakest_is_doubted_first():
    said = [
        Statement("notice", "before", ("d", "f"), support=9.0),
        Statement("seller", "before", ("e", "d"), support=6.0),
        Statement("fair", "before", ("f", "e"), support=7.0),
        Statement("other", "before", ("a", "d"), support=1.0),
    ]
    order = put_in_order("adef", said)
    assert set(order.conflict.statements) == {"notice", "seller", "fair"}
    assert order.conflict.doubt == ("seller", "fair", "notice")
    assert order.dropped.statements == ("seller",)
    assert order.steps() == (("a", "d"), ("d", "f"), ("f", "e"))


def test_a_statement_that_breaks_two_cycles_is_dropped_before_two_that_break_one_each():
    said = [
        Statement("shared", "before", ("a", "b"), support=3.0),
        Statement("one", "before", ("b", "a"), support=2.0),
        Statement("two", "ended_by", ("b", "a"), support=2.0),
    ]
    assert put_in_order("ab", said).dropped.statements == ("shared",)


@pytest.mark.parametrize(("support", "dropped"), [(299.0, {"notice"}), (301.0, {"early"})])
def test_three_hundred_early_sightings_outweigh_a_notice_or_not_as_their_support_adds_up(support, dropped):
    early = [Statement(f"early {n}", "seen", ("a",), latest=100 + n % 50, by=f"m{n}") for n in range(300)]
    notice = Statement("notice", "not_before", ("a",), earliest=200, support=support)
    answer = put_in_order("ab", [*early, notice, Statement("b", "before", ("a", "b"))]).dropped
    assert {name.split()[0] for name in answer.statements} == dropped
    assert answer.support == min(support, 300)
    assert answer.is_least


def test_replaced_for_good_contradicts_came_back():
    said = [Statement("1", "ended_by", ("a", "b")), Statement("2", "returned", ("a", "b"))]
    assert put_in_order("ab", said).conflict.statements == ("1", "2")


def test_unsupported_statements_are_not_dropped_for_free():
    pairs = ["ab", "bc", "ca", "ad"]
    said = [Statement(str(n), "before", tuple(pair), support=0.0) for n, pair in enumerate(pairs)]
    assert len(put_in_order("abcd", said).dropped.statements) == 1
