"""What a line of a full count stands for. Common practice of the trade; no published source."""

from datetime import UTC, datetime, timedelta

import pytest

from registry.methods.abundance import Known, candidates

DAY = timedelta(days=1)
EARLY = datetime(2025, 3, 1, tzinfo=UTC)
CREST, WHEELS, BASE = 1, 2, 3
ANCHOR = Known("anchor", EARLY, {CREST: 10, WHEELS: 20})
CHROME = Known("chrome", EARLY + 5 * DAY, {WHEELS: 21}, frozenset({WHEELS}))
GULL = Known("gull", EARLY + 9 * DAY, {CREST: 11, WHEELS: 20}, frozenset({CREST}))
ALL = (ANCHOR, CHROME, GULL)


def test_a_count_made_when_all_were_known_tells_what_it_names():
    assert candidates(["anchor"], ALL, EARLY + 10 * DAY) == ("anchor",)


def test_a_variant_that_was_not_known_yet_was_counted_as_another():
    assert candidates(["anchor"], ALL, EARLY + DAY) == ("anchor", "chrome", "gull")
    assert candidates(["anchor"], ALL, EARLY + 6 * DAY) == ("anchor", "gull")


def test_the_instant_of_the_report_is_early_enough_to_be_known():
    assert candidates(["anchor"], ALL, CHROME.since) == ("anchor", "gull")


def test_whoever_saw_the_trait_would_have_noticed_even_then():
    assert candidates(["anchor"], ALL, EARLY + DAY, seen=[WHEELS]) == ("anchor", "gull")


def test_a_variant_that_differs_only_where_nobody_looked_was_not_told_apart():
    assert candidates(["anchor"], ALL, EARLY + 10 * DAY, seen=[CREST]) == ("anchor", "chrome")
    assert candidates(["anchor"], ALL, EARLY + 10 * DAY, seen=[CREST, WHEELS]) == ("anchor",)


def test_a_trait_on_which_both_are_known_to_agree_tells_nothing():
    assert candidates(["anchor"], (ANCHOR, GULL), EARLY + 10 * DAY, seen=[WHEELS]) == ("anchor", "gull")


def test_two_that_were_reported_for_different_traits_are_told_apart_by_either():
    """Chrome says nothing of its crest; whoever sees a gull there names Gull all the same."""
    assert candidates(["gull"], (CHROME, GULL), EARLY + 10 * DAY, seen=[CREST]) == ("gull",)


def test_one_of_these_stays_so_and_grows_by_what_was_not_known():
    assert candidates(["anchor", "chrome"], ALL, EARLY + 6 * DAY) == ("anchor", "chrome", "gull")


def test_none_of_the_known_ones_stands_for_those_reported_since():
    assert candidates([], ALL, EARLY + 6 * DAY) == ("gull",)
    assert candidates([], ALL, EARLY + 10 * DAY) == ()


def test_a_variant_that_is_not_listed_is_refused_by_name():
    with pytest.raises(ValueError, match="kestrel"):
        candidates(["kestrel"], ALL, EARLY)
