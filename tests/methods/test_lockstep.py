"""Votes in lockstep: what is found, what is left alone, and how often honest members are named."""

import random
from math import comb

import pytest

from registry.methods.lockstep import (
    DAY,
    LEAST_CLOSE,
    binomial_tail,
    closeness,
    groups_in_step,
)

MINUTE, HOUR = 60, 3600


def ring(members, targets, start=0.0, spread=10 * MINUTE, seed=1):
    draw = random.Random(seed)
    return [(m, t, start + draw.uniform(0, spread)) for m in members for t in targets]


def honest(members, targets, each=15, days=30, seed=2):
    """Each votes on targets of their own choice at times of their own choice."""
    draw = random.Random(seed)
    return [(m, t, draw.uniform(0, days * DAY)) for m in members for t in draw.sample(list(targets), each)]


def evenings(members, targets, each=15, days=30, hours=2, seed=3):
    """The same, but everybody votes in the same two hours of the day."""
    draw = random.Random(seed)
    return [
        (m, t, draw.randrange(days) * DAY + 19 * HOUR + draw.uniform(0, hours * HOUR))
        for m in members
        for t in draw.sample(list(targets), each)
    ]


def test_T01_twenty_accounts_on_the_same_fifteen_targets_within_ten_minutes_are_found():
    (group,) = groups_in_step(ring(range(20), range(15)))
    assert group.members == tuple(range(20))
    assert group.targets == tuple(range(15))
    assert max(pair.close for pair in group.pairs) == 15


def test_T01_twenty_honest_random_voters_are_left_alone():
    assert groups_in_step(honest(range(20), range(40))) == []


def test_T01_a_ring_is_found_among_honest_voters_and_none_of_these_with_it():
    votes = ring(range(20), range(15), start=12 * DAY) + honest(range(100, 120), range(15))
    (group,) = groups_in_step(votes)
    assert group.members == tuple(range(20))


def test_two_rings_that_share_nobody_are_two_groups():
    votes = ring(range(5), range(15)) + ring(range(5, 9), range(15, 30), start=5 * DAY, seed=4)
    votes += honest(range(100, 140), range(30))
    assert [group.members for group in groups_in_step(votes)] == [(0, 1, 2, 3, 4), (5, 6, 7, 8)]


def test_a_few_close_votes_say_nothing_however_unlikely():
    votes = ring((1, 2), range(LEAST_CLOSE - 1)) + honest(range(10, 40), range(30))
    assert groups_in_step(votes) == []


def test_T03_one_address_halves_what_is_needed_and_is_nothing_by_itself():
    together = ring((1, 2), range(5), start=3 * DAY) + honest(range(10, 40), range(30))
    apart = honest((1, 2), range(30), seed=9) + honest(range(10, 40), range(30))
    one_address = {frozenset((1, 2))}
    assert groups_in_step(together) == []
    (group,) = groups_in_step(together, one_address)
    assert group.members == (1, 2)
    assert group.pairs[0].one_address
    assert groups_in_step(apart, one_address) == []


def test_the_order_of_votes_does_not_matter():
    votes = ring(range(6), range(12)) + honest(range(20, 40), range(30))
    shuffled = random.Random(5).sample(votes, len(votes))
    assert groups_in_step(votes) == groups_in_step(shuffled)


@pytest.mark.parametrize("votes", [[], [(1, 1, 0.0)], [(1, 1, 0.0), (1, 2, 0.0)]])
def test_too_little_to_compare_is_nobody(votes):
    assert groups_in_step(votes) == []


def test_honest_votes_are_close_at_most_a_sixth_of_the_time():
    import numpy as np

    assert closeness(np.array([0.0, 60.0])) == pytest.approx(1 / 6)
    assert closeness(np.array([0.0, DAY])) == pytest.approx(1 / 12)


@pytest.mark.parametrize(("least", "n", "p"), [(0, 5, 0.3), (3, 5, 0.5), (8, 15, 1 / 6), (15, 15, 1 / 6)])
def test_the_tail_is_that_of_scipys_binomial(least, n, p):
    """Oracle: scipy.stats.binom, and for three heads of five 16/32 by counting."""
    from scipy.stats import binom

    assert binomial_tail(least, n, p) == pytest.approx(float(binom.sf(least - 1, n, p)), rel=1e-9)
    assert binomial_tail(3, 5, 0.5) == pytest.approx(sum(comb(5, k) for k in (3, 4, 5)) / 32)


def test_T01_in_two_hundred_honest_months_nobody_is_named():
    """20 voters each, at random times: 0 of 200; voting only in the same two hours a day: 0 of 200."""
    named = [
        sum(bool(groups_in_step(make(range(20), range(40), seed=seed))) for seed in range(200))
        for make in (honest, evenings)
    ]
    assert named == [0, 0]


def test_two_who_sit_down_together_are_named_though_they_are_honest():
    """The known weakness: why a concern goes to a person, and nothing follows from it by itself."""
    votes = ring((1, 2), range(20), start=4 * DAY, spread=5 * MINUTE) + honest(range(10, 40), range(40))
    (group,) = groups_in_step(votes)
    assert group.members == (1, 2)
