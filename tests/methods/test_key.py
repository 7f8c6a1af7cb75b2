"""The printed key: every leaf right, found by walking all variants through it; and how long it is."""

from itertools import product
from math import log2

import numpy as np
import pytest
from hypothesis import given

from registry.methods.checks import minimal
from registry.methods.identify import Table, Trait
from registry.methods.key import Key, build, lines, walk
from tests.methods.small_tables import BRINEWAGON, Zoo, random_table, table_of, tables


def answers_of(table: Table, row: int) -> list[dict[str, str]]:
    """Every set of answers that an item of this variant may give: an unknown state may be any."""
    options = [
        [trait.states[cell]] if cell >= 0 else trait.states
        for trait, cell in zip(table.traits, table.cells[row].tolist(), strict=True)
    ]
    return [dict(zip([t.key for t in table.traits], states, strict=True)) for states in product(*options)]


def compatible(table: Table, answers: dict[str, str], variant: str, asked: set[str]) -> bool:
    row = table.row(variant)
    return all(
        cell < 0 or trait.states[cell] == answers[trait.key]
        for trait, cell in zip(table.traits, table.cells[row].tolist(), strict=True)
        if trait.key in asked
    )


def asked_on_the_way(key: Key, answers: dict[str, str]) -> set[str]:
    asked, number = set(), 1 if key.steps else 0
    while number:
        step = key.steps[number - 1]
        asked.add(step.trait)
        number = next(lead.to for lead in step.leads if answers[step.trait] in lead.states)
    return asked


@given(tables(most_variants=6, most_traits=4))
def test_every_leaf_is_right_whatever_an_unknown_state_turns_out_to_be(table):
    key = build(table)
    for row, variant in enumerate(table.variants):
        for answers in answers_of(table, row):
            found, asked = walk(key, answers), asked_on_the_way(key, answers)
            assert variant in found
            assert set(found) == {v for v in table.variants if compatible(table, answers, v, asked)}


@given(tables(most_variants=6, most_traits=4))
def test_those_who_stand_together_at_an_end_are_told_apart_by_no_further_trait(table):
    key = build(table)
    ends = [lead.variants for step in key.steps for lead in step.leads if not lead.to] or [key.variants]
    for end in ends:
        rows = [table.row(variant) for variant in end]
        for column in table.cells[rows].T:
            assert len({int(cell) for cell in column if cell >= 0}) < 2


def test_the_key_reads_as_numbered_lines():
    titles = {"first": "Gold wheels", "silver": "Silver wheels", "dated": "Dated base", "long": "Long nose"}
    assert list(lines(build(BRINEWAGON), BRINEWAGON, titles)) == [
        "1. Front wheels: gold, go to 2; silver, Silver wheels; white, Long nose.",
        "2. Base text: plain, Gold wheels; dated, Dated base.",
    ]


def test_what_only_the_pack_shows_may_leave_one_of_these():
    key = build(BRINEWAGON, only=[trait.seen_in_pack for trait in BRINEWAGON.traits])
    assert list(lines(key, BRINEWAGON, {})) == [
        "1. Front wheels: gold, one of these: first, dated; silver, silver; white, long."
    ]


def test_a_doubtful_variant_stands_alone_under_a_state_that_no_other_has():
    table = table_of([[0], [1], [-1]], [4])
    key = build(table)
    assert walk(key, {"t0": "s0"}) == ("v0", "v2")
    assert walk(key, {"t0": "s3"}) == ("v2",)
    assert [lead.states for lead in key.steps[0].leads] == [("s0",), ("s1",), ("s2", "s3")]


def test_an_answer_that_no_variant_has_leads_nowhere_and_no_answer_leads_everywhere():
    key = build(BRINEWAGON)
    table = table_of([[0], [1]], [3])
    assert walk(build(table), {"t0": "s2"}) == ()
    assert set(walk(key, {})) == set(BRINEWAGON.variants)
    assert set(walk(key, {"wheels": "gold"})) == {"first", "dated"}


def test_no_variants_or_one_need_no_steps():
    assert build(table_of([], [2])) == Key(())
    assert list(lines(Key(()), BRINEWAGON, {})) == []
    one = build(table_of([[0]], [2]))
    assert (one, list(lines(one, BRINEWAGON, {"v0": "The one"}))) == (Key((), ("v0",)), ["The one."])
    twins = build(table_of([[0], [0]], [2]))
    assert (walk(twins, {}), list(lines(twins, BRINEWAGON, {}))) == (("v0", "v1"), ["one of these: v0, v1."])


def test_mostly_unknown_variants_make_a_key_of_bounded_length():
    table = random_table(1, 40, 12, 3, unknown=0.8)
    key = build(table, most_steps=30)
    assert len(key.steps) == 30
    for row, variant in enumerate(table.variants):
        known = {t.key: t.states[c] for t, c in zip(table.traits, table.cells[row], strict=True) if c >= 0}
        assert variant in walk(key, known)


def test_the_traits_of_minimal_checks_make_a_whole_key():
    table, _ = Zoo().patterns()
    chosen = minimal(table).traits
    key = build(table, only=[trait.key in chosen for trait in table.traits])
    assert {step.trait for step in key.steps} <= set(chosen)
    for row, variant in enumerate(table.variants):
        assert walk(key, answers_of(table, row)[0]) == (variant,)


def questions(key: Key, table: Table) -> list[int]:
    asked = []
    for row in range(len(table.variants)):
        answers, number, count = answers_of(table, row)[0], 1 if key.steps else 0, 0
        while number:
            step = key.steps[number - 1]
            count += 1
            number = next(lead.to for lead in step.leads if answers[step.trait] in lead.states)
        asked.append(count)
    return asked


def test_the_open_data_are_told_apart_in_between_the_entropy_and_one_question_more():
    """Shannon 1948: no set of yes-or-no questions needs fewer than the entropy; a good one needs less than 1 more."""
    table, counts = Zoo().patterns()
    shares = counts / counts.sum()
    entropy = -float((shares * np.log2(shares)).sum())
    mean = float(shares @ questions(build(table, prior=counts.tolist()), table))
    assert entropy <= mean < entropy + 1


@pytest.mark.parametrize(
    ("chances", "entropy", "fewest"),
    [
        # Huffman 1952; the first is Cover & Thomas, Elements of Information Theory, example 5.6.1: 2.3 questions.
        ([0.25, 0.25, 0.2, 0.15, 0.15], 2.285475, 2.3),
        ([0.5, 0.25, 0.125, 0.125], 1.75, 1.75),
        ([0.4, 0.2, 0.2, 0.1, 0.1], 2.121928, 2.2),
        ([1 / 3] * 3, 1.584963, 1.666667),
        ([0.2] * 5, 2.321928, 2.4),
    ],
)
def test_with_every_question_allowed_the_mean_lies_between_the_best_code_and_one_above_entropy(
    chances, entropy, fewest
):
    many = len(chances)
    splits = [[subset >> row & 1 for row in range(many)] for subset in range(1, 2 ** (many - 1))]
    traits = tuple(Trait(f"t{n}", ("no", "yes")) for n in range(len(splits)))
    table = Table(tuple(f"v{n}" for n in range(many)), traits, np.array(splits).T)
    mean = float(np.dot(chances, questions(build(table, prior=chances), table)))
    assert entropy == pytest.approx(-sum(p * log2(p) for p in chances), abs=1e-6)
    assert fewest - 1e-6 <= mean < entropy + 1


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"only": [True]}, "one entry for each of 4 traits"),
        ({"prior": [1, 1]}, "for each of 4 variants"),
        ({"prior": [1, 1, 1, 0]}, "above 0"),
        ({"most_steps": -1}, "must not be negative"),
    ],
)
def test_settings_that_do_not_fit_are_refused(options, words):
    with pytest.raises(ValueError, match=words):
        build(BRINEWAGON, **options)
