"""What holds of a fit whatever the votes are."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.methods.consensus import Ballots, Start, fit
from tests.methods.simulated_votes import World, columns, simulate

POLICY = Start(most_rounds=15)  # what holds, holds after every round
LOOSE = Start(
    cell_to_reviewer=0.5, cell_to_kind=0.5, reviewer_to_population=1, kind_to_population=1, most_rounds=15
)
FEW_ROUNDS = settings(max_examples=20)


@st.composite
def some_ballots(draw) -> Ballots:
    claims, reviewers = draw(st.integers(1, 7)), draw(st.integers(1, 5))
    votes = draw(
        st.lists(
            st.tuples(
                st.integers(0, claims - 1), st.integers(0, reviewers - 1), st.sampled_from([0, 2, 10]),
                st.booleans(), st.booleans(),
            ),
            max_size=30,
        )
    )  # fmt: skip
    known = draw(st.lists(st.sampled_from([-1, -1, 0, 1]), min_size=claims, max_size=claims))
    claim, reviewer, kind, in_hand, confirms = zip(*votes, strict=True) if votes else ((),) * 5
    return columns(claims, reviewers, claim, reviewer, confirms, kind=kind, in_hand=in_hand, known=known)


def rearranged(ballots: Ballots, order) -> Ballots:
    names = ("claim", "reviewer", "kind", "in_hand", "confirms")
    return replace(ballots, **{name: getattr(ballots, name)[order] for name in names})


@FEW_ROUNDS
@given(some_ballots(), st.sampled_from([POLICY, LOOSE]))
def test_the_objective_never_falls(ballots, start):
    objective = np.array(fit(ballots, start).objective)
    assert np.all(np.diff(objective) >= -1e-11 * np.abs(objective[1:]))


@pytest.mark.parametrize("start", [POLICY, LOOSE], ids=["as the policy says", "leaning hardly at all"])
@pytest.mark.parametrize(
    "world", [World(), World(liars=0.4), World(guessers=0.5, true=0.9), World(votes_each=2)]
)
def test_the_objective_never_falls_on_many_votes_and_does_rise(world, start):
    _, ballots = simulate(world, np.random.default_rng(8))
    objective = np.array(fit(ballots, replace(start, most_rounds=150)).objective)
    assert np.all(np.diff(objective) >= -1e-12 * np.abs(objective[1:]))
    assert objective[-1] > objective[0] + 1


@FEW_ROUNDS
@given(some_ballots(), st.sampled_from([POLICY, LOOSE]))
def test_posteriors_and_rates_are_probabilities_and_no_vote_speaks_against_itself(ballots, start):
    found = fit(ballots, start)
    known = ballots.known
    assert np.all((found.posterior > 0) & (found.posterior < 1) | (known >= 0))
    assert np.array_equal(found.posterior[known >= 0], known[known >= 0])
    rates = np.stack([found.cells.sensitivity, found.cells.specificity])
    assert np.all((rates > 0) & (rates < 1))
    assert np.all(rates.sum(axis=0) >= 1 - 1e-9)
    assert np.all((found.population > 0) & (found.population < 1))
    assert np.all(found.population.sum(axis=-1) >= 1 - 1e-9)


@FEW_ROUNDS
@given(some_ballots(), st.randoms())
def test_the_order_of_votes_leaves_no_trace(ballots, random):
    order = list(range(ballots.claim.size))
    random.shuffle(order)
    one, other = fit(ballots, POLICY), fit(rearranged(ballots, np.array(order, dtype=int)), POLICY)
    assert np.array_equal(one.posterior, other.posterior)
    assert one.objective == other.objective


@FEW_ROUNDS
@given(some_ballots(), st.randoms())
def test_other_numbers_for_claims_and_reviewers_only_move_the_answers(ballots, random):
    claims, reviewers = np.arange(ballots.claims), np.arange(ballots.reviewers)
    random.shuffle(claims)
    random.shuffle(reviewers)
    known = np.empty_like(ballots.known)
    known[claims] = ballots.known
    renamed = replace(ballots, claim=claims[ballots.claim], reviewer=reviewers[ballots.reviewer], known=known)
    one, other = fit(ballots, POLICY), fit(renamed, POLICY)
    assert other.posterior[claims] == pytest.approx(one.posterior, abs=1e-7)
    for reviewer, renumbered in enumerate(reviewers):
        assert other.rates(renumbered, 2, True) == pytest.approx(one.rates(reviewer, 2, True), abs=1e-7)


@pytest.mark.parametrize("in_hand", [True, False])
@pytest.mark.parametrize(("confirming", "contradicting"), [(1, 0), (0, 3), (3, 1), (1, 3), (4, 2), (5, 1)])
def test_the_same_votes_on_one_more_claim_move_nobodys_rates_the_other_way(
    confirming, contradicting, in_hand
):
    """Where most agree. In an even split nothing says which half is right, nor which way rates should move."""
    votes = [True] * confirming + [False] * contradicting
    start = np.array(Start().rates()[int(in_hand)])
    seen = []
    for copies in (1, 2):
        claim = np.repeat(np.arange(copies), len(votes))
        reviewer = np.tile(np.arange(len(votes)), copies)
        found = fit(columns(copies, 8, claim, reviewer, votes * copies, in_hand=in_hand))
        seen.append(np.array([found.rates(n, 0, in_hand) for n in range(len(votes))]).reshape(-1, 2) - start)
    once, twice = seen
    clear = np.abs(once) > 1e-3
    assert clear.any()
    assert np.array_equal(np.sign(once[clear]), np.sign(twice[clear]))


@FEW_ROUNDS
@given(some_ballots(), st.integers(0, 6))
def test_known_claims_say_the_same_wherever_they_stand(ballots, extra):
    """Claims that nobody voted on change nobody's rates."""
    wider = replace(
        ballots,
        claims=ballots.claims + extra,
        known=np.concatenate([ballots.known, np.ones(extra, dtype=np.int8)]),
    )
    assert np.array_equal(fit(wider, POLICY).posterior[: ballots.claims], fit(ballots, POLICY).posterior)
