"""One claim by fixed rates: the same as standing counts, and the same as Bayes' rule written out in fractions."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.consensus import posterior, updated
from registry.methods.policy import FIRST_POLICY, Rates
from registry.methods.standing.tally import Voice, add_up

RATE = st.floats(0.05, 0.95)
VOTES = st.lists(st.tuples(st.booleans(), RATE, RATE), max_size=8)


class PerVoice:
    """Reliabilities that tell reviewers apart by their number."""

    def __init__(self, votes):
        self.votes = votes

    def rates(self, reviewer, trait, in_hand, policy):
        return Rates(*self.votes[int(reviewer)][1:])


def unzipped(votes):
    return [vote[0] for vote in votes], [vote[1] for vote in votes], [vote[2] for vote in votes]


@given(VOTES)
def test_it_is_what_standing_counts(votes):
    voices = [Voice(str(n), vote[0], True, False, False) for n, vote in enumerate(votes)]
    tally = add_up(voices, "trait", FIRST_POLICY, PerVoice(votes))
    assert posterior(*unzipped(votes), FIRST_POLICY.prior) == tally.posterior


@given(VOTES, RATE)
def test_it_is_bayes_rule_in_exact_fractions(votes, prior):
    true, false = Fraction(prior), 1 - Fraction(prior)
    for confirms, sensitivity, specificity in votes:
        true *= Fraction(sensitivity) if confirms else 1 - Fraction(sensitivity)
        false *= 1 - Fraction(specificity) if confirms else Fraction(specificity)
    assert posterior(*unzipped(votes), prior) == pytest.approx(float(true / (true + false)), rel=1e-9)


@given(VOTES, st.booleans(), RATE, RATE, RATE)
def test_one_new_vote_gives_what_counting_all_again_gives(votes, confirms, sensitivity, specificity, prior):
    before = posterior(*unzipped(votes), prior)
    after = posterior(*unzipped([*votes, (confirms, sensitivity, specificity)]), prior)
    assert updated(
        before, confirms=confirms, sensitivity=sensitivity, specificity=specificity
    ) == pytest.approx(after, abs=1e-9)


@given(VOTES, st.booleans(), st.booleans(), RATE, RATE)
def test_a_vote_that_takes_the_place_of_another_does_so_exactly(votes, was, now, sensitivity, specificity):
    before = posterior(*unzipped([*votes, (was, sensitivity, specificity)]), 0.5)
    after = posterior(*unzipped([*votes, (now, sensitivity, specificity)]), 0.5)
    assert updated(
        before, confirms=now, sensitivity=sensitivity, specificity=specificity, instead=was
    ) == pytest.approx(after, abs=1e-9)


def test_two_votes_in_hand_reach_97_in_100_and_two_by_photo_94():
    """design of the first policy: 0.85 and 0.80; 0.85^2 / (0.85^2 + 0.15^2) and the like, by hand."""
    assert posterior([True, True], [0.85, 0.85], [0.85, 0.85], 0.5) == pytest.approx(0.7225 / 0.745)
    assert posterior([True, True], [0.8, 0.8], [0.8, 0.8], 0.5) == pytest.approx(0.64 / 0.68)


@pytest.mark.parametrize("prior", [0.0, 1.0, -0.5, float("nan")])
def test_a_prior_that_leaves_no_doubt_is_refused(prior):
    with pytest.raises(ValueError, match="between 0 and 1"):
        posterior([True], [0.85], [0.85], prior)


def test_a_rate_of_one_and_columns_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="between 0 and 1"):
        posterior([True], [1.0], [0.85], 0.5)
    with pytest.raises(ValueError, match="shorter|longer"):
        posterior([True, True], [0.8], [0.8], 0.5)
    with pytest.raises(ValueError, match="between 0 and 1"):
        updated(1.0, confirms=True, sensitivity=0.8, specificity=0.8)
