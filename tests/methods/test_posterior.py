"""What votes weigh: the worked numbers, and Bayes' rule as a textbook writes it."""

from dataclasses import dataclass, replace
from fractions import Fraction
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import bernoulli

from registry.methods.policy import FIRST_POLICY, Rates
from tests.methods.small_release import LOOSE, PHOTO, SEALED, SmallRelease

VERDICTS = st.lists(
    st.tuples(st.sampled_from(["confirms", "contradicts"]), st.sampled_from([PHOTO, LOOSE, SEALED])),
    max_size=12,
)


def posterior_of(*votes: tuple[str, str], policy=FIRST_POLICY, reliabilities=None) -> float:
    release = SmallRelease()
    release.variant("a", cause="baseline")
    release.difference("a_wheels", kind="wheel")
    for number, (verdict, basis) in enumerate(votes):
        release.vote("a_wheels", f"reviewer_{number}", verdict, basis)
    chosen = {"reliabilities": reliabilities} if reliabilities else {}
    return release.decide(policy, **chosen).claims["a_wheels"].posterior


def test_two_votes_in_hand_reach_97_in_100():
    assert round(posterior_of(("confirms", LOOSE), ("confirms", SEALED)), 2) == 0.97


def test_three_votes_by_photo_reach_98_in_100():
    assert round(posterior_of(*[("confirms", PHOTO)] * 3), 2) == 0.98


def test_two_votes_by_photo_reach_94_in_100():
    assert round(posterior_of(*[("confirms", PHOTO)] * 2), 2) == 0.94


def test_a_posterior_just_at_the_threshold_confirms():
    policy = replace(FIRST_POLICY, confirm_at=0.8, founding_confirm_at=0.8, refute_at=0.2, votes_needed=1)
    release = SmallRelease()
    release.variant("a", cause="running_change")
    for verdict, standing in (("confirms", "confirmed"), ("contradicts", "refuted")):
        release.vote("a_cause", "rut", verdict)
        assert release.decide(policy).claims["a_cause"].standing == standing


def test_no_vote_leaves_the_prior():
    assert posterior_of() == 0.5
    assert posterior_of(policy=replace(FIRST_POLICY, prior=0.2)) == pytest.approx(0.2, abs=1e-15)


def test_one_vote_for_and_one_against_on_the_same_basis_cancel_out():
    assert posterior_of(("confirms", PHOTO), ("contradicts", PHOTO)) == pytest.approx(0.5, abs=1e-15)


@given(VERDICTS)
def test_the_posterior_is_bayes_rule_in_exact_fractions(votes):
    """Outside check: prior x likelihood over the sum of both, in rational arithmetic."""
    rate = {PHOTO: Fraction(4, 5), LOOSE: Fraction(17, 20), SEALED: Fraction(17, 20)}
    if_true = prod((rate[b] if v == "confirms" else 1 - rate[b] for v, b in votes), start=Fraction(1, 2))
    if_false = prod((1 - rate[b] if v == "confirms" else rate[b] for v, b in votes), start=Fraction(1, 2))
    assert posterior_of(*votes) == pytest.approx(float(if_true / (if_true + if_false)), rel=1e-12)


@given(
    VERDICTS,
    st.integers(51, 99),
    st.integers(51, 99),
    st.integers(1, 99),
)
def test_the_posterior_agrees_with_likelihoods_from_scipy(votes, sensitivity, specificity, prior):
    """Outside check: scipy.stats.bernoulli gives each vote's likelihood; unequal rates, any prior."""
    sens, spec, before = sensitivity / 100, specificity / 100, prior / 100
    policy = replace(
        FIRST_POLICY,
        prior=before,
        sensitivity_in_hand=sens,
        sensitivity_photo=sens,
        specificity_in_hand=spec,
        specificity_photo=spec,
    )
    saw = [int(verdict == "confirms") for verdict, _ in votes]
    if_true = before * bernoulli.pmf(saw, sens).prod()
    if_false = (1 - before) * bernoulli.pmf(saw, 1 - spec).prod()
    assert posterior_of(*votes, policy=policy) == pytest.approx(if_true / (if_true + if_false), rel=1e-9)


def test_thousands_of_votes_do_not_overflow():
    assert posterior_of(*[("confirms", SEALED)] * 2000) == 1.0
    assert 0 <= posterior_of(*[("contradicts", SEALED)] * 2000) < 1e-300


class KeenEyes:
    """A fit that knows one reviewer to be right 99 times in 100 with the wheels in hand."""

    def rates(self, reviewer, kind, in_hand, policy):
        if (reviewer, kind, in_hand) == ("reviewer_0", "wheel", True):
            return Rates(0.99, 0.99)
        return Rates(0.6, 0.7)


def test_learned_reliabilities_drop_in():
    assert posterior_of(("confirms", LOOSE), reliabilities=KeenEyes()) == pytest.approx(0.99)
    assert posterior_of(("confirms", PHOTO), reliabilities=KeenEyes()) == pytest.approx(0.6 / (0.6 + 0.3))
    assert posterior_of(("contradicts", PHOTO), reliabilities=KeenEyes()) == pytest.approx(0.4 / (0.4 + 0.7))


@dataclass
class Fixed:
    """A fit that gives everybody the same rates."""

    given: Rates

    def rates(self, reviewer, kind, in_hand, policy):
        return self.given


@pytest.mark.parametrize("verdict", ["confirms", "contradicts"])
@pytest.mark.parametrize("rates", [(1.0, 0.5), (0.5, 1.0), (0.0, 0.5), (0.5, 0.0), (1.5, 0.5)])
def test_a_rate_of_certainty_is_refused(rates, verdict):
    with pytest.raises(ValueError, match="between 0 and 1"):
        posterior_of((verdict, PHOTO), reliabilities=Fixed(Rates(*rates)))
