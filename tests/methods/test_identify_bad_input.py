"""What identify, its tables and its expectations refuse, and in which words."""

import numpy as np
import pytest

from registry.methods.identify import (
    Expectations,
    Measured,
    NotSure,
    NotVisible,
    Seen,
    Table,
    Trait,
    Weighed,
    default_confusion,
    identify,
)
from tests.methods.small_tables import BRINEWAGON, CREST, WHEELS, table_of


@pytest.mark.parametrize(
    ("observations", "words"),
    [
        ([Seen("tailgate", "red")], "'tailgate' is no trait of this table"),
        ([Seen("wheels", "red")], "'red' is no state of trait wheels; its states are gold, silver, white"),
        ([NotSure("wheels", ("gold", "red"))], "'red' is no state of trait wheels"),
        ([Seen("wheels", "gold"), Seen("wheels", "silver")], "wheels was answered twice"),
        ([Seen("wheels", "gold"), NotVisible("wheels")], "wheels was answered twice"),
        ([NotSure("wheels", ("gold", "silver"), (1.0,))], "with a weight for each"),
        ([NotSure("wheels", ("gold", "gold"))], "must differ"),
        ([NotSure("wheels", ("gold", "silver"), (1.0, -1.0))], "not negative"),
        ([NotSure("wheels", ("gold", "silver"), (0.0, 0.0))], "not all 0"),
        ([Measured("wheels", 5.0, 1.0)], "no state of trait wheels has a number"),
        ([Measured("length", 70_000, 0)], "error above 0"),
        ([Measured("length", float("nan"), 1)], "finite value"),
        ([Weighed("crest", {"green": 1.0})], "'green' is no state of trait crest"),
        ([Weighed("crest", {"red": float("inf")})], "must be finite"),
        ([Weighed("crest", {})], "not all 0"),
    ],
)
def test_an_observation_that_cannot_be_is_refused_by_name(observations, words):
    with pytest.raises(ValueError, match=words):
        identify(BRINEWAGON, observations)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"prior": [1, 1]}, "one weight for each of 4 variants"),
        ({"prior": [1, 1, 1, -1]}, "not negative"),
        ({"prior": [0, 0, 0, 0]}, "not all 0"),
        ({"prior": [1, 1, 1, float("nan")]}, "finite"),
        ({"not_listed": 1.0}, "below 1"),
        ({"not_listed": -0.1}, "0 or more"),
        ({"not_listed": float("nan")}, "0 or more"),
        ({"novelty": 0.0}, "novelty"),
        ({"accuracy": 1.0}, "accuracy"),
        ({"confusion": {"tailgate": [[1]]}}, "no trait of this table"),
        ({"confusion": {"crest": np.eye(3)}}, "must be 2 x 2"),
        ({"confusion": {"crest": [[0.9, 0.2], [0.1, 0.9]]}}, "at most 1"),
        ({"confusion": {"crest": [[1.1, -0.1], [0.1, 0.9]]}}, "at most 1"),
        ({"confusion": {"crest": [[float("nan"), 0], [0, 1]]}}, "at most 1"),
    ],
)
def test_an_expectation_that_is_no_probability_is_refused(options, words):
    with pytest.raises(ValueError, match=words):
        Expectations(BRINEWAGON, **options)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"states": ()}, "has no states"),
        ({"states": ("red", "red")}, "names a state twice"),
        ({"effort": 0}, "positive"),
        ({"effort": float("inf")}, "positive"),
        ({"state_names": ("Red",)}, "as many state_names as states"),
        ({"tolerances": (1.0, 1.0)}, "no numbers"),
        ({"numbers": (1.0, 2.0), "tolerances": (1.0, -1.0)}, "must not be negative"),
        ({"numbers": (1.0, float("nan"))}, "must be finite"),
    ],
)
def test_a_trait_that_cannot_be_is_refused(change, words):
    with pytest.raises(ValueError, match=words):
        Trait(**{"key": "crest", "states": ("red", "blue"), **change})


@pytest.mark.parametrize(
    ("variants", "traits", "cells", "words"),
    [
        (("a",), (CREST,), [[0, 1]], "do not fit"),
        (("a",), (CREST,), [[2]], "neither -1 nor one of its states"),
        (("a",), (CREST,), [[-2]], "neither -1 nor one of its states"),
        (("a",), (CREST,), [[0.5]], "whole numbers"),
        (("a", "a"), (CREST,), [[0], [1]], "two variants have the same key"),
        (("a",), (CREST, CREST), [[0, 0]], "two traits have the same key"),
    ],
)
def test_a_table_that_does_not_fit_is_refused(variants, traits, cells, words):
    with pytest.raises(ValueError, match=words):
        Table(variants, traits, np.array(cells))


def test_a_state_of_another_casting_is_refused_while_a_table_is_made():
    with pytest.raises(ValueError, match="'green' is no state"):
        Table.of([WHEELS], {"a": {"wheels": "green"}})
    with pytest.raises(ValueError, match="no trait of this table"):
        Table.of([WHEELS], {"a": {"crest": "red"}})


def test_a_table_is_small_and_cannot_be_written_to():
    cells = table_of([[0, 1], [1, 0]], [2, 2]).cells
    assert (cells.dtype, cells.flags.f_contiguous) == (np.int8, True)
    assert table_of([[130]], [131]).cells.dtype == np.int16
    with pytest.raises(ValueError, match="read-only"):
        cells[0, 0] = 1


def test_keeping_no_candidate_or_an_accuracy_of_certainty_is_refused():
    with pytest.raises(ValueError, match="at least one candidate"):
        identify(BRINEWAGON, keep=0)
    with pytest.raises(ValueError, match="between 0 and 1"):
        default_confusion(2, 0.0)
