"""Codes that people write by hand: told apart, typed in any spelling, good for 14 days."""

from datetime import UTC, datetime, timedelta

import pytest

from registry.methods.shot_code import ALPHABET, LENGTH, mint_code, parse_code, show_code, was_good

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)


def test_a_code_survives_being_shown_and_typed():
    codes = {mint_code() for _ in range(200)}
    assert len(codes) > 190
    for code in codes:
        assert len(code) == LENGTH
        assert set(code) <= set(ALPHABET)
        for typed in (show_code(code), code.lower(), f" {code[:2]} {code[2:]}\u2013"):
            assert parse_code(typed) == code


def test_symbols_that_look_alike_and_vowels_are_not_among_them():
    assert not set("0O1IL2Z5S8BQGAEU9") & set(ALPHABET)


@pytest.mark.parametrize("text", ["", "K7DXW", "K7DXW44", "K7DXWO", "K7D XW\u0664", "x" * 10_000])
def test_what_is_no_code_is_refused_with_the_remedy(text):
    with pytest.raises(ValueError, match="as it stands on the paper"):
        parse_code(text)


def test_T11_it_is_good_from_when_it_was_given_for_fourteen_days():
    assert was_good(NOON, NOON)
    assert was_good(NOON, NOON + timedelta(days=14))
    assert not was_good(NOON, NOON + timedelta(days=14, seconds=1))
    assert not was_good(NOON, NOON - timedelta(seconds=1))
