"""Shares in plain words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.abundance import Count, Line, absence, absence_sentence, abundance
from registry.methods.abundance.wording import about, between, whence


def test_the_sentence_reads_as_a_hunter_would_say_it():
    said = [about(140 / 12 / 140), between(1 / 30, 1 / 6), whence(140, {"case": 9})]
    assert "; ".join(said) == "about 1 in 12; between 1 in 30 and 1 in 6; from 140 examples in 9 cases"


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (1, "nearly all"),
        (0.8, "about 8 in 10"),
        (0.5, "about 5 in 10"),
        (0.3, "about 1 in 3"),
        (0.01, "about 1 in 100"),
        (1 / 1234, "about 1 in 1,200"),
        (1e-9, "next to none"),
    ],
)
def test_estimates_are_rounded_to_two_figures(share, words):
    assert about(share) == words


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0, 0.02, "at most 1 in 50"),
        (0.72, 1, "at least 7 in 10"),
        (0, 1, "anything from none to all"),
        (0.001, 0.93, "between 1 in 1,000 and nearly all"),
        (1 / 33.1, 0.35, "between 1 in 34 and 4 in 10"),
        (0, 1e-9, "at most 1 in 10,000"),
    ],
)
def test_intervals_are_rounded_outwards(low, high, words):
    assert between(low, high) == words


def value(words: str) -> float:
    if words in ("nearly all", "next to none"):
        return float(words == "nearly all")
    part, whole = words.replace(",", "").split(" in ")
    return int(part) / int(whole)


@given(st.tuples(st.floats(1e-8, 0.94), st.floats(1e-8, 0.94)).map(sorted))
def test_the_words_never_promise_more_than_the_interval(ends):
    low, high = between(*ends).removeprefix("between ").split(" and ")
    assert value(low) <= ends[0] * (1 + 1e-6)
    assert value(high) >= ends[1] * (1 - 1e-6)


def test_where_the_examples_were_counted_is_said_in_full():
    assert whence(1, {"item": 1}) == "from 1 example in 1 single item"
    assert (
        whence(52, {"case": 2, "peg": 1, "collection": 1})
        == "from 52 examples in 2 cases, 1 peg and 1 collection"
    )


def test_one_variant_counted_in_one_case_is_said_with_its_doubt():
    answer = abundance([Count("1", "case", (Line(12, ("a",)),), full=True)], "a")
    assert answer.words(answer.shares[0]) == "nearly all; at least 1 in 40; from 12 examples in 1 case"


def test_no_difference_seen_is_said_both_ways_of_mixing():
    assert absence_sentence(absence(140, 9)) == (
        "140 examples from 9 cases compared, no difference seen: another variant, if there is one, makes up "
        "at most 1 in 47 of the items where cases mix them, or at most 1 in 3 of the cases where they do not"
    )


def test_one_that_nobody_told_from_the_others_has_no_estimate_however_many_were_counted():
    answer = abundance([Count("1", "case", (Line(9, ("a", "b")), Line(3, ("a",))), full=True)], "ab")
    said = answer.words(answer.shares[1])
    assert said.startswith("no estimate, never told from the others; ")
    assert answer.words(answer.shares[0]).endswith("from 12 examples in 1 case")
