"""Reviewers with known rates: is a posterior worth what it says, and do liars get their way?

The worlds and figures are this project's own simulations; `python -m benchmarks.consensus` runs many more of them.
"""

import numpy as np
import pytest

from registry.methods.consensus import Start, fit, posterior
from tests.methods.simulated_votes import (
    MIXES,
    World,
    as_standing_counts,
    by_equal_weights,
    majority,
    simulate,
    with_ring,
)

QUICK = Start(tolerance=1e-4)


@pytest.fixture(scope="module")
def outcomes():
    """For each mix, three runs: truth, posterior, posterior as standing counts it, and majority of every claim."""
    found = {}
    for number, (name, world) in enumerate(MIXES.items()):
        random = np.random.default_rng([41, number])
        runs = []
        for _ in range(3):
            true, ballots = simulate(world, random)
            learnt = fit(ballots, QUICK)
            runs.append((true, learnt.posterior, as_standing_counts(ballots, learnt), majority(ballots)))
        found[name] = tuple(np.concatenate(column) for column in zip(*runs, strict=True))
    return found


@pytest.mark.parametrize("mix", MIXES)
@pytest.mark.parametrize("level", [0.95, 0.99])
def test_of_claims_at_95_and_99_in_100_as_many_are_true_within_two_points(outcomes, mix, level):
    true, *both, _ = outcomes[mix]
    for claimed in both:
        at = claimed >= level
        assert at.sum() > 200
        assert true[at].mean() > level - 0.02
        assert abs(true[at].mean() - claimed[at].mean()) < 0.02


@pytest.mark.parametrize(("low", "high"), [(0.93, 0.97), (0.985, 0.995)])
def test_close_to_95_and_99_standing_is_within_two_points_over_all_mixes(outcomes, low, high):
    """A fit's own posteriors, which also learn how many claims are true, promise up to four points too much there."""
    true, _, claimed, _ = (np.concatenate(column) for column in zip(*outcomes.values(), strict=True))
    near = (claimed > low) & (claimed < high)
    assert near.sum() > 500
    assert true[near].mean() == pytest.approx(claimed[near].mean(), abs=0.02)


@pytest.mark.parametrize("mix", MIXES)
def test_the_fit_is_wrong_less_often_than_the_majority(outcomes, mix):
    """Half a mistake where the majority is a tie."""
    true, claimed, _, votes = outcomes[mix]
    wrong = np.mean((claimed > 0.5) != true)
    majority_wrong = np.mean(np.where(votes == 0, 0.5, (votes > 0) != true))
    assert wrong < majority_wrong


def test_where_all_are_alike_the_fit_comes_within_half_a_point_of_the_majority():
    """Then the majority is the best rule there is, and whoever tells reviewers apart hears noise."""
    random = np.random.default_rng(77)
    wrong = []
    for _ in range(3):
        true, ballots = simulate(World(skill=(170, 30)), random)
        by_majority = np.where(majority(ballots) == 0, 0.5, (majority(ballots) > 0) != true)
        wrong.append([np.mean((fit(ballots, QUICK).posterior > 0.5) != true), by_majority.mean()])
    by_fit, by_majority = np.mean(wrong, axis=0)
    assert by_fit < by_majority + 0.005


def test_with_the_real_rates_a_posterior_is_worth_exactly_what_it_says():
    """20,000 claims with 2 to 5 votes by reviewers between 0.6 and 0.95: near 0.95, and near 0.99."""
    random = np.random.default_rng(95)
    claimed, true = [], random.random(20_000) < 0.5
    for truth in true:
        rates = random.uniform(0.6, 0.95, size=(2, random.integers(2, 6)))
        confirms = random.random(rates.shape[1]) < (rates[0] if truth else 1 - rates[1])
        claimed.append(posterior(confirms.tolist(), rates[0].tolist(), rates[1].tolist(), 0.5))
    found = np.array(claimed)
    for low, high in ((0.93, 0.97), (0.985, 0.995)):
        near = (found > low) & (found < high)
        assert near.sum() > 400
        assert true[near].mean() == pytest.approx(found[near].mean(), abs=0.02)


def test_a_ring_of_a_fifth_that_confirms_every_false_claim_verifies_none_of_its_targets():
    """25 runs here, 1,000 in benchmarks/consensus: 50 reviewers, 10 of them in the ring, 20 votes by lot on each of
    200 claims; the ring votes as honest people do on what is true."""
    world = World(reviewers=50, claims=200, votes_each=20, kinds=1)
    random = np.random.default_rng(20)
    verified = false_claims = at_large = by_equal = 0
    for _ in range(25):
        true, honest = simulate(world, random)
        ballots, target = with_ring(true, honest, 10, "every false")
        found = fit(ballots, QUICK).posterior
        verified += found[target] >= 0.95
        false_claims += np.sum(~true)
        at_large += np.sum(found[~true] >= 0.95)
        by_equal += np.sum(by_equal_weights(ballots)[~true] >= 0.95)
    assert verified == 0
    assert at_large < false_claims / 1000
    assert by_equal > 10 * at_large  # what the same votes would do if all weighed the same
