"""Which states are taken for which."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.consensus import confusions

GOLD, SILVER, WHITE = range(3)


def test_without_votes_the_stated_accuracy_stands():
    nobody = np.array([], dtype=int)
    assert confusions(nobody, nobody, 3, accuracy=0.9) == pytest.approx(
        np.array([[0.9, 0.05, 0.05], [0.05, 0.9, 0.05], [0.05, 0.05, 0.9]])
    )


def test_gold_taken_for_silver_shows_in_the_row_of_gold_only():
    claimed = np.array([GOLD] * 10 + [SILVER] * 8)
    seen = np.array([GOLD] * 6 + [SILVER] * 4 + [SILVER] * 8)
    found = confusions(claimed, seen, 3, accuracy=0.8, strength=10)
    # By hand: gold (6 + 8, 4 + 1, 0 + 1) / 20, silver (0 + 1, 8 + 8, 0 + 1) / 18, white as stated.
    assert found == pytest.approx(np.array([[0.7, 0.25, 0.05], [1 / 18, 16 / 18, 1 / 18], [0.1, 0.1, 0.8]]))


def test_a_vote_counts_by_how_likely_the_claim_is_true():
    claimed, seen = np.array([GOLD, GOLD]), np.array([SILVER, GOLD])
    found = confusions(claimed, seen, 2, true=np.array([0.25, 1.0]), accuracy=0.5, strength=2)
    assert found[GOLD] == pytest.approx([2 / 3.25, 1.25 / 3.25])


def test_a_trait_of_one_state_cannot_be_mistaken():
    assert confusions(np.array([0]), np.array([0]), 1).tolist() == [[1.0]]


@given(
    st.integers(1, 6).flatmap(
        lambda k: st.tuples(
            st.just(k), st.lists(st.tuples(st.integers(0, k - 1), st.integers(0, k - 1)), max_size=40)
        )
    )
)
def test_every_row_is_a_distribution(case):
    states, votes = case
    claimed, seen = np.array(votes, dtype=int).reshape(-1, 2).T
    found = confusions(claimed, seen, states)
    assert found.sum(axis=1) == pytest.approx(np.ones(states))
    assert np.all(found > 0)


@pytest.mark.parametrize(
    ("claimed", "seen", "given", "sentence"),
    [
        ([0], [0, 1], {}, "one row per vote"),
        ([0], [3], {}, "seen must lie between 0 and 2"),
        ([-1], [0], {}, "claimed must lie between 0 and 2"),
        ([0], [0], {"true": np.array([1.5])}, "probabilities"),
        ([0], [0], {"true": np.array([0.5, 0.5])}, "one row per vote"),
        ([0], [0], {"accuracy": 1.0}, "accuracy"),
        ([0], [0], {"strength": 0.0}, "strength"),
    ],
)
def test_what_makes_no_sense_is_refused(claimed, seen, given, sentence):
    with pytest.raises(ValueError, match=sentence):
        confusions(np.array(claimed), np.array(seen), 3, **given)
