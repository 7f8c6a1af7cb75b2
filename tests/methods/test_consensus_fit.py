"""What a fit does with few votes, with known claims, with those who do not judge, and with bad input."""

from dataclasses import replace
from math import log

import numpy as np
import pytest

from registry.methods.consensus import KINDS, Ballots, Fit, Start, fit
from registry.methods.policy import FIRST_POLICY
from tests.methods.simulated_votes import World, columns, simulate

PRINT, COLOUR, FINISH = KINDS.index("print"), KINDS.index("colour"), KINDS.index("finish")
AT_THE_START = log(0.85 / 0.15)  # what a confirmation in hand weighs by the first policy, in log-odds


def weight_of_confirming(found: Fit, reviewer: int, kind: int = PRINT, in_hand: bool = True) -> float:
    sensitivity, specificity = found.rates(reviewer, kind, in_hand)
    return log(sensitivity / (1 - specificity))


def stamper(failed: int, kinds: list[int] | int = PRINT) -> Fit:
    """Reviewer 0 confirms ten claims as four others do, and `failed` claims that are known to be false."""
    claim = [*range(10 + failed), *(c for c in range(10) for _ in range(4))]
    reviewer = [0] * (10 + failed) + [1, 2, 3, 4] * 10
    kind = [PRINT] * 10 + (kinds if isinstance(kinds, list) else [kinds] * failed) + [PRINT] * 40
    known = [-1] * 10 + [0] * failed
    return fit(columns(10 + failed, 5, claim, reviewer, [True] * len(claim), kind=kind, known=known))


def test_no_votes_leave_everything_as_the_policy_says():
    found = fit(columns(3, 2, [], [], []))
    assert found.posterior == pytest.approx([0.5, 0.5, 0.5])
    assert found.rates(0, FINISH, True) == pytest.approx((0.85, 0.85))
    assert found.rates(1, -1, False) == pytest.approx((0.80, 0.80))
    assert found.cells.reviewer.size == 0
    assert found.converged


def test_no_claims_at_all_are_no_obstacle():
    assert fit(columns(0, 0, [], [], [])).posterior.shape == (0,)


def test_three_reviewers_and_five_claims_stay_near_the_policy():
    claim, reviewer = np.indices((5, 3)).reshape(2, -1)
    confirms = np.array([1, 1, 1, 1, 1, 1, 1, 1, 0, 1, 1, 1, 0, 0, 0])
    found = fit(columns(5, 3, claim, reviewer, confirms))
    assert found.posterior[[0, 1, 3]].min() > 0.95
    assert 0.5 < found.posterior[2] < 0.95
    assert found.posterior[4] < 0.05
    for who in range(3):
        assert found.rates(who, PRINT, True) == pytest.approx((0.85, 0.85), abs=0.08)


def test_the_start_is_the_policys():
    policy = replace(FIRST_POLICY, prior=0.4, sensitivity_photo=0.7)
    start = Start.from_policy(policy)
    assert (start.prior, start.sensitivity_photo, start.specificity_in_hand) == (0.4, 0.7, 0.85)
    assert Start.from_policy(FIRST_POLICY) == Start()


def test_a_known_claim_keeps_its_answer_whatever_the_votes_say():
    claim, reviewer = np.indices((2, 4)).reshape(2, -1)
    found = fit(columns(2, 4, claim, reviewer, [True] * 4 + [False] * 4, known=[0, 1]))
    assert found.posterior.tolist() == [0.0, 1.0]
    assert found.prior == 0.5  # known claims were picked, so they say nothing about how many are true


def test_confirming_three_controls_that_are_false_leaves_next_to_no_weight():
    """T06. Of 1.73 at the start: 0.07 where all three were of the kind voted on, 0.18 where each was of another."""
    assert weight_of_confirming(stamper(3), 0) == pytest.approx(0.067, abs=0.01)
    assert weight_of_confirming(stamper(3, [PRINT, COLOUR, FINISH]), 0) == pytest.approx(0.18, abs=0.02)
    assert weight_of_confirming(stamper(3), 1) > 0.9 * AT_THE_START


def test_the_weight_of_confirming_everything_falls_with_every_failed_control_to_none():
    weights = [weight_of_confirming(stamper(failed), 0) for failed in (0, 1, 2, 3, 6, 20, 100)]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] > 0.9 * AT_THE_START
    assert weights[-1] < 0.01


def test_confirming_nothing_but_false_controls_weighs_nothing_either_way():
    found = fit(columns(3, 1, [0, 1, 2], [0, 0, 0], [True] * 3, known=[0, 0, 0]))
    sensitivity, specificity = found.rates(0, PRINT, True)
    assert sensitivity + specificity == pytest.approx(1, abs=1e-9)


def test_failing_on_one_kind_costs_trust_on_the_others_too_but_less():
    found = stamper(3)
    assert weight_of_confirming(found, 0) < weight_of_confirming(found, 0, FINISH) < 0.5 * AT_THE_START


def test_one_mistake_is_forgiven_to_one_who_was_right_before():
    claim = list(range(11))
    known = [1] * 5 + [0] * 6
    found = fit(columns(11, 1, claim, [0] * 11, [True] * 5 + [False] * 5 + [True], known=known))
    assert found.rates(0, PRINT, True)[1] == pytest.approx(0.83, abs=0.02)


def test_confirming_all_ordinary_claims_loses_weight_as_others_refute_them():
    """No control needed: 60 claims, half of them false by eight honest votes, and one who confirms them all."""
    random = np.random.default_rng(6)
    true = np.arange(60) % 2 == 0
    claim, reviewer = np.indices((60, 9)).reshape(2, -1)
    right = (random.random(claim.size) < 0.9) == true[claim]
    found = fit(columns(60, 9, claim, reviewer, np.where(reviewer == 8, True, right)))
    assert weight_of_confirming(found, 8) < 0.35
    assert min(weight_of_confirming(found, honest) for honest in range(8)) > 1.2


def test_nobodys_word_is_turned_round_however_often_they_lie():
    random = np.random.default_rng(4)
    true, ballots = simulate(World(liars=0.3), random)
    found = fit(ballots)
    assert np.min(found.cells.sensitivity + found.cells.specificity) > 1 - 1e-9
    assert np.mean((found.posterior > 0.5) == true) > 0.95


def test_ten_who_lie_on_everything_do_not_make_lies_the_truth_while_most_are_honest():
    """The mirror image, in which true and false change places, fits the same votes: the start rules it out."""
    _, ballots = simulate(World(liars=0.45, skill=(9, 1)), np.random.default_rng(11))
    found = fit(ballots)
    assert found.population[-1, 1].sum() > 1.3


def test_in_hand_and_by_photo_are_learnt_apart():
    """40 reviewers who judge well in hand and poorly by photo."""
    random = np.random.default_rng(12)
    true = random.random(800) < 0.6
    claim = np.repeat(np.arange(800), 8)
    reviewer = np.argsort(random.random((800, 40)), axis=1)[:, :8].ravel()
    in_hand = random.random(claim.size) < 0.5
    confirms = (random.random(claim.size) < np.where(in_hand, 0.93, 0.68)) == true[claim]
    found = fit(columns(800, 40, claim, reviewer, confirms, in_hand=in_hand))
    assert found.population[PRINT, 1] == pytest.approx([0.93, 0.93], abs=0.02)
    assert found.population[PRINT, 0] == pytest.approx([0.70, 0.70], abs=0.02)


def test_a_kind_that_is_hard_for_everybody_is_told_from_an_easy_one_even_for_a_newcomer():
    random = np.random.default_rng(13)
    true = random.random(600) < 0.5
    kind = np.where(np.arange(600) % 2, PRINT, FINISH)
    claim = np.repeat(np.arange(600), 9)
    reviewer = np.argsort(random.random((600, 30)), axis=1)[:, :9].ravel()
    right = random.random(claim.size) < np.where(kind[claim] == PRINT, 0.93, 0.68)
    found = fit(columns(600, 31, claim, reviewer, right == true[claim], kind=kind[claim]))
    assert found.population[PRINT, 1].min() - found.population[FINISH, 1].max() > 0.12
    easy, hard = found.rates(30, PRINT, True), found.rates(30, FINISH, True)  # reviewer 30 has not voted
    assert min(easy) > max(hard)


def test_rates_fall_back_from_cell_to_reviewer_to_everybody():
    _, ballots = simulate(World(claims=100), np.random.default_rng(3))
    found = fit(replace(ballots, reviewers=61, in_hand=np.ones(ballots.claim.size, dtype=bool)))
    cells = found.cells
    rows = {key: row for row, key in enumerate(zip(cells.reviewer, cells.kind, cells.in_hand, strict=True))}
    for (reviewer, kind, in_hand), row in list(rows.items())[:40]:
        assert found.rates(reviewer, kind, in_hand) == (cells.sensitivity[row], cells.specificity[row])
    overall, of_kind = np.array(found.rates(7, -1, True)), found.population[FINISH + 3, 1]
    assert found.rates(7, FINISH + 3, True) == pytest.approx((12 * overall + 4 * of_kind) / 16)
    assert found.rates(60, -1, True) == tuple(found.population[-1, 1])
    assert found.rates(60, -1, False) == pytest.approx((0.80, 0.80))


def test_the_weight_seen_counts_votes_and_known_claims_as_the_start_says():
    found = fit(columns(3, 1, [0, 1, 2], [0, 0, 0], [1, 1, 0], kind=[0, 1, 1], known=[-1, -1, 0]))
    assert found.cells.kind.tolist() == [-1, 0, 1]
    assert found.cells.weight_seen.tolist() == [18.0, 1.0, 17.0]


def test_a_fit_that_runs_out_of_rounds_says_so():
    _, ballots = simulate(World(claims=50), np.random.default_rng(2))
    found = fit(ballots, Start(most_rounds=2))
    assert (found.rounds, found.converged) == (2, False)
    assert len(found.objective) == 2


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"claim": [3, 0]}, "claim must lie between 0 and 2"),
        ({"reviewer": [0, -1]}, "reviewer must lie between 0 and 1"),
        ({"kind": [0, len(KINDS)]}, "kind must lie between 0 and 10"),
        ({"reviewer": [0]}, "reviewer must have one row per vote, 2"),
        ({"confirms": [True]}, "confirms must have one row per vote, 2"),
        ({"known": [0, 0]}, "known must have one row per claim, 3"),
        ({"known": [0, 0, 2]}, "known must be -1"),
    ],
)
def test_ballots_that_make_no_sense_are_refused(change, sentence):
    sound = {
        "claim": [0, 2],
        "reviewer": [0, 1],
        "kind": [0, 1],
        "in_hand": [True, False],
        "confirms": [True, True],
    }
    arrays = {name: np.array(column) for name, column in (sound | change).items()}
    with pytest.raises(ValueError, match=sentence):
        Ballots(claims=3, reviewers=2, **arrays)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"prior": 1.0}, "prior"),
        ({"sensitivity_photo": 0.0}, "sensitivity_photo"),
        ({"sensitivity_photo": 0.3, "specificity_photo": 0.6}, "photo"),
        ({"cell_to_reviewer": -1.0}, "cell_to_reviewer"),
        ({"population_to_policy": 0.0}, "population_to_policy"),
        ({"tolerance": float("nan")}, "tolerance"),
        ({"most_rounds": 0}, "most_rounds"),
    ],
)
def test_a_start_that_makes_no_sense_is_refused(change, name):
    with pytest.raises(ValueError, match=name):
        Start(**change)
