"""The nearest variants to given states: equal to comparing one by one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.alike import Near, nearest
from tests.methods.small_tables import BRINEWAGON, random_table, table_of, tables


def one_by_one(table, states, k):
    found = []
    for row, variant in enumerate(table.variants):
        cells = {t.key: int(c) for t, c in zip(table.traits, table.cells[row], strict=True)}
        wanted = {t.key: t.states.index(states[t.key]) for t in table.traits if t.key in states}
        agree = [key for key, state in wanted.items() if cells[key] == state]
        unknown = [key for key in wanted if cells[key] == -1]
        differ = tuple(key for key in wanted if key not in agree and key not in unknown)
        found.append(Near(variant, len(agree), len(differ), len(unknown), differ))
    return sorted(found, key=lambda near: (near.differing, -near.agreeing))[:k]


@given(tables(), st.data(), st.integers(1, 8))
def test_the_nearest_are_those_of_comparing_one_by_one(table, data, k):
    states = {t.key: data.draw(st.sampled_from(t.states)) for t in table.traits if data.draw(st.booleans())}
    assert nearest(table, states, k) == one_by_one(table, states, k)


def test_many_equally_near_ones_stay_in_the_order_of_the_table():
    table = random_table(3, 400, 8, 2)
    states = {f"t{n}": "s0" for n in range(8)}
    assert nearest(table, states, 25) == one_by_one(table, states, 25)


def test_a_variant_that_differs_nowhere_may_be_the_same():
    near = nearest(BRINEWAGON, {"wheels": "gold", "base": "dated"})
    assert [(n.variant, n.may_be_the_same, n.differs_on) for n in near] == [
        ("dated", True, ()),
        ("first", False, ("base",)),
        ("long", False, ("wheels",)),
        ("silver", False, ("wheels", "base")),
    ]


def test_no_states_leave_all_equally_near():
    near = nearest(BRINEWAGON, {}, 2)
    assert [(n.variant, n.agreeing, n.differing, n.may_be_the_same) for n in near] == [
        ("first", 0, 0, False),
        ("silver", 0, 0, False),
    ]


def test_an_empty_table_has_no_nearest():
    assert nearest(table_of([], [2]), {"t0": "s1"}) == []


@pytest.mark.parametrize(
    ("states", "k", "words"),
    [
        ({"tailgate": "red"}, 1, "no trait of this table"),
        ({"crest": "green"}, 1, "no state of trait crest"),
        ({}, 0, "at least one"),
    ],
)
def test_what_the_table_does_not_have_is_refused(states, k, words):
    with pytest.raises(ValueError, match=words):
        nearest(BRINEWAGON, states, k)
