"""Which variant is it: the posterior against plain enumeration, and what is said about it."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.identify import (
    Expectations,
    Measured,
    NotSure,
    NotVisible,
    Seen,
    SeenOther,
    Table,
    Weighed,
    default_confusion,
    identify,
)
from tests.methods.small_tables import BRINEWAGON, LENGTH, random_table, table_of, tables

ACCURACY, NOVELTY, UNLISTED = 0.9, 0.1, 0.2


def expected(table: Table, **options) -> Expectations:
    return Expectations(table, accuracy=ACCURACY, novelty=NOVELTY, not_listed=UNLISTED, **options)


def chance(true: int, seen: int, states: int) -> float:
    """Of an answer, given the true state; both may be `states`, for "some other" and "none of these"."""
    return ACCURACY if true == seen else (1 - ACCURACY) / states


def shares(table: Table, trait: int) -> list[float]:
    column = [int(cell) for cell in table.cells[:, trait] if cell >= 0]
    states = len(table.traits[trait].states)
    return [(column.count(state) + 1 / states) / (len(column) + 1) for state in range(states)]


def worlds(table: Table, row: int | None, traits: list[int]):
    """Every full set of states that a variant (None: one not listed) may have, with its probability."""
    options = []
    for trait in traits:
        found = list(enumerate(shares(table, trait)))
        if row is None:
            options.append([(s, p * (1 - NOVELTY)) for s, p in found] + [(len(found), NOVELTY)])
        else:
            cell = int(table.cells[row, trait])
            options.append([(cell, 1.0)] if cell >= 0 else found)
    for world in product(*options):
        yield [state for state, _ in world], math.prod(p for _, p in world)


def enumerated(table: Table, seen: dict[int, int]) -> list[float]:
    """Bayes' rule by summing over every world: each variant's probability, and last that of "not listed"."""
    rows, joint = [*range(len(table.variants)), None], []
    for row in rows:
        prior = UNLISTED if row is None else (1 - UNLISTED) / len(table.variants)
        total = 0.0
        for states, p in worlds(table, row, list(seen)):
            likely = zip(states, seen.items(), strict=True)
            total += p * math.prod(chance(s, o, len(table.traits[t].states)) for s, (t, o) in likely)
        joint.append(prior * total)
    return [each / sum(joint) for each in joint]


@given(tables(), st.data())
def test_the_posterior_is_bayes_rule_summed_over_every_world(table, data):
    answers = {t: data.draw(st.integers(-1, len(trait.states))) for t, trait in enumerate(table.traits)}
    seen = {t: answer for t, answer in answers.items() if answer >= 0}
    observations = [
        SeenOther(f"t{t}") if o == len(table.traits[t].states) else Seen(f"t{t}", f"s{o}")
        for t, o in seen.items()
    ]
    answer = identify(expected(table), observations)
    assert [*answer.posterior, answer.not_listed] == pytest.approx(enumerated(table, seen), abs=1e-12)


@given(tables())
def test_what_a_check_tells_is_the_mutual_information_summed_over_every_answer(table):
    """Source of the formula: Shannon 1948; sum of p(h) p(o|h) log2(p(o|h) / p(o)) over variants and answers."""
    answer = identify(expected(table))
    priors = [(1 - UNLISTED) / len(table.variants)] * len(table.variants) + [UNLISTED]
    rows = [*range(len(table.variants)), None]
    for check in answer.checks:
        t, states = int(check.trait[1:]), len(table.traits[int(check.trait[1:])].states)
        given_row = [
            [sum(p * chance(s[0], o, states) for s, p in worlds(table, row, [t])) for o in range(states + 1)]
            for row in rows
        ]
        total = [sum(p * g[o] for p, g in zip(priors, given_row, strict=True)) for o in range(states + 1)]
        bits = sum(
            p * g[o] * math.log2(g[o] / total[o])
            for p, g in zip(priors, given_row, strict=True)
            for o in range(states + 1)
        )
        assert check.bits == pytest.approx(bits, abs=1e-12)


@given(tables(), st.data())
def test_candidates_come_most_probable_first_and_equals_in_the_order_of_the_table(table, data):
    states = [data.draw(st.sampled_from(trait.states)) for trait in table.traits]
    answer = identify(table, [Seen(t.key, s) for t, s in zip(table.traits, states, strict=True)], keep=3)
    rounded = np.round(np.log(answer.posterior), 8)
    order = sorted(range(len(table.variants)), key=lambda row: (-rounded[row], row))
    assert [c.variant for c in answer.candidates] == [table.variants[row] for row in order[:3]]
    assert answer.posterior.sum() + answer.not_listed == pytest.approx(1, abs=1e-12)


def test_the_variant_that_has_all_of_it_comes_first_with_its_grounds():
    answer = identify(BRINEWAGON, [Seen("wheels", "silver"), Seen("crest", "red"), NotVisible("base")])
    first, second = answer.candidates[:2]
    assert (first.variant, answer.fitting, answer.learnt) == ("silver", 1, ("wheels", "crest"))
    assert first.posterior > 0.8
    assert [(g.trait, g.state, g.speaks) for g in first.grounds] == [
        ("wheels", "silver", "for"),
        ("crest", "red", "for"),
    ]
    assert (second.grounds[0].state, second.grounds[0].speaks) == ("gold", "against")


def test_a_combination_that_no_variant_has_raises_not_listed():
    seen = [Seen("wheels", "silver"), Seen("crest", "blue"), Seen("base", "dated")]
    answer = identify(Expectations(BRINEWAGON, not_listed=0.2), seen)
    assert (answer.fitting, answer.not_listed_is_likeliest) == (0, True)
    assert answer.not_listed > 0.5
    assert identify(BRINEWAGON, [SeenOther("wheels")]).not_listed > identify(BRINEWAGON).not_listed


def test_a_ground_is_how_much_likelier_the_observation_is_than_with_an_unlisted_variant():
    """By hand: three of four gold among two states; an accuracy of 0.9 leaves 0.05 for each wrong answer."""
    table = table_of([[0], [0], [0], [1]], [2])
    found = (3 + 1 / 2) / 5
    unlisted = 0.9 * (found * 0.9 + (1 - found) * 0.05) + 0.1 * 0.05
    answer = identify(expected(table), [Seen("t0", "s0")])
    assert answer.candidates[0].grounds[0].bits == pytest.approx(math.log2(0.9 / unlisted))
    assert answer.candidates[3].grounds[0].bits == pytest.approx(math.log2(0.05 / unlisted))


def test_not_sure_lies_between_its_states_and_without_states_says_nothing():
    either = identify(BRINEWAGON, [NotSure("wheels", ("gold", "silver"))])
    by_name = {c.variant: c.posterior for c in either.candidates}
    assert by_name["first"] == pytest.approx(by_name["silver"])
    assert by_name["first"] > by_name["long"]
    nothing = identify(BRINEWAGON, [NotSure("wheels"), NotVisible("crest")])
    assert nothing.posterior.tolist() == identify(BRINEWAGON).posterior.tolist()
    assert nothing.learnt == ()


def test_a_weight_of_all_on_one_state_is_seeing_that_state():
    sure = identify(BRINEWAGON, [Seen("wheels", "gold")])
    weighed = identify(BRINEWAGON, [NotSure("wheels", ("gold", "silver"), (2.0, 0.0))])
    assert weighed.posterior == pytest.approx(sure.posterior, abs=1e-15)


def test_what_could_not_be_seen_is_not_asked_again():
    answer = identify(BRINEWAGON, [NotVisible("crest"), NotSure("base")])
    assert {check.trait for check in answer.checks} == {"wheels", "length"}


def test_a_measure_weighs_each_state_by_its_distance_and_error():
    """By hand: normal densities with variance error squared plus tolerance squared over three."""
    spread = math.sqrt(600**2 + 150**2 / 3)
    ratio = math.exp(-0.5 * ((70_900 - 70_000) / spread) ** 2 + 0.5 * ((70_900 - 72_000) / spread) ** 2)
    table = Table(("short", "long"), (LENGTH,), np.array([[0], [1]]))
    answer = identify(table, [Measured("length", 70_900, 600)])
    assert answer.posterior[1] / answer.posterior[0] == pytest.approx(1 / ratio, rel=1e-9)
    assert identify(table, [Measured("length", 70_010, 100)]).candidates[0].variant == "short"


def test_a_measure_far_from_every_state_points_to_what_is_not_listed():
    assert identify(BRINEWAGON, [Measured("length", 80_000, 50)]).not_listed > 0.9


def test_likelihoods_from_the_caller_count_by_their_ratios_only():
    small = identify(BRINEWAGON, [Weighed("crest", {"red": 2e-20, "blue": 1e-20}, 1e-21)])
    large = identify(BRINEWAGON, [Weighed("crest", {"red": 2.0, "blue": 1.0}, 0.1)])
    assert small.posterior == pytest.approx(large.posterior, rel=1e-12)
    assert large.posterior[0] == pytest.approx(2 * large.posterior[3])


def test_a_prior_counts_and_a_prior_of_nothing_rules_out():
    priors = Expectations(BRINEWAGON, prior=[6, 3, 1, 0], not_listed=0.2)
    answer = identify(priors)
    assert answer.posterior == pytest.approx([0.48, 0.24, 0.08, 0], abs=1e-12)
    assert answer.not_listed == pytest.approx(0.2, abs=1e-12)


def test_a_confusion_of_its_own_replaces_the_plain_one():
    blind = np.full((2, 2), 0.5)
    answer = identify(Expectations(BRINEWAGON, confusion={"crest": blind}), [Seen("crest", "blue")])
    assert answer.posterior == pytest.approx(np.full(4, answer.posterior[0]), rel=1e-9)


def test_the_plain_confusion_leaves_room_for_none_of_these():
    for states in (1, 2, 5):
        rows = default_confusion(states, 0.95).sum(axis=1)
        assert rows == pytest.approx(1 - 0.05 / states)


def test_no_variants_leave_only_not_listed():
    answer = identify(Expectations(table_of([], [2, 2]), not_listed=0), [Seen("t0", "s1")])
    assert (answer.candidates, answer.not_listed, answer.advice.next) == ((), 1.0, None)


def test_one_variant_is_weighed_against_not_listed_alone():
    table = table_of([[0, 1]], [2, 2])
    good = identify(table, [Seen("t0", "s0"), Seen("t1", "s1")])
    bad = identify(table, [Seen("t0", "s1"), Seen("t1", "s0")])
    assert good.candidates[0].posterior > 0.95 > 0.5 > bad.candidates[0].posterior


def test_two_variants_of_the_same_known_states_share_their_probability():
    answer = identify(table_of([[0, 1], [0, 1], [1, 1]], [2, 2]), [Seen("t0", "s0"), Seen("t1", "s1")])
    assert [c.variant for c in answer.candidates] == ["v0", "v1", "v2"]
    assert answer.candidates[0].posterior == answer.candidates[1].posterior


def test_a_variant_of_which_nothing_is_known_keeps_its_prior_odds_to_a_like_mixture():
    table = table_of([[-1, -1, -1], [-1, -1, -1]], [2, 3, 4])
    answer = identify(table, [Seen("t0", "s0"), Seen("t2", "s3")])
    assert answer.posterior[0] == answer.posterior[1]
    assert answer.candidates[0].grounds[0].state == ""


def test_five_hundred_traits_neither_overflow_nor_vanish():
    table = random_table(5, 30, 500, 4)
    seen = [Seen(t.key, t.states[max(int(c), 0)]) for t, c in zip(table.traits, table.cells[7], strict=True)]
    answer = identify(table, seen)
    assert answer.candidates[0].variant == "v7"
    assert np.isfinite(answer.posterior).all()
    assert answer.posterior.sum() + answer.not_listed == pytest.approx(1)
