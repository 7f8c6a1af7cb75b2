"""Bodies are read strictly and within limits (T31)."""

import json
import time

import pytest

from api.parsers import DEEPEST, depth, strict_json
from api.problems import Problem
from tests.factories import ModeratorFactory

from .caller import Caller, problem

MALFORMED = {
    "empty brackets missing": b"{",
    "not a number": b'{"name": NaN}',
    "infinity": b'{"name": Infinity}',
    "too large a number": b'{"name": 1e400}',
    "half a character": b'{"name": "\\ud800"}',
    "a repeated key": b'{"name": "a", "name": "b"}',
    "bytes that are no text": b'{"name": "\xff"}',
    "30 levels": b"[" * 30 + b"]" * 30,
    "10,000 levels": b"[" * 10_000 + b"]" * 10_000,
    "a megabyte of levels": (b'{"a":' * 10_000 + b"1" + b"}" * 10_000).ljust(999_999),
    "300 keys": json.dumps({f"k{n}": 1 for n in range(300)}).encode(),
    "endless digits": b'{"name": ' + b"9" * 5_000 + b"}",
}


@pytest.mark.parametrize("body", MALFORMED.values(), ids=MALFORMED.keys())
@pytest.mark.django_db
def test_T31_a_body_that_is_not_plain_json_is_400(body):
    problem(Caller(ModeratorFactory()).post("/v1/makers", body), 400, "malformed-json")


@pytest.mark.django_db
def test_T31_a_body_of_two_megabytes_is_413():
    body = json.dumps({"name": "x" * 2_000_000}).encode()
    problem(Caller(ModeratorFactory()).post("/v1/makers", body), 413, "too-large")


@pytest.mark.django_db
@pytest.mark.parametrize("body", [b"[]", b'"text"', b"7", b"null", b"true"])
def test_a_body_that_is_no_object_is_422(body):
    problem(Caller(ModeratorFactory()).post("/v1/makers", body), 422, "validation-failed")


def test_twenty_levels_are_read():
    body = b"[" * DEEPEST + b"]" * DEEPEST
    assert strict_json(body) == json.loads(body)


def test_brackets_inside_strings_are_no_depth():
    assert depth(rb'{"a": "[[[[[[[\"[[[[[{{{{{{", "b": [1]}') == 2


@pytest.mark.parametrize("body", [b'"' + b'\\"' * 500_000, b"[]" * 500_000, b'"a"' * 330_000])
def test_T29_depth_is_counted_in_one_pass(body):
    began = time.process_time()
    with pytest.raises(Problem):
        strict_json(body)
    assert time.process_time() - began < 1.0
