"""Points in time as people write them (RFC 3339 section 5.6 for days and moments)."""

from datetime import UTC, datetime

import pytest

from registry.methods.moments import parse_point


def test_digits_are_a_revision():
    assert parse_point(" 12 ") == 12


def test_a_day_is_its_end():
    assert parse_point("2026-02-28") == datetime(2026, 2, 28, 23, 59, 59, 999999, UTC)


@pytest.mark.parametrize(
    ("text", "hour"), [("1996-12-19T16:39:57-08:00", 0), ("1996-12-20T00:39:57Z", 0)]
)  # the two spellings of one moment in RFC 3339 section 5.8
def test_an_offset_is_taken_into_account(text, hour):
    assert parse_point(text) == datetime(1996, 12, 20, hour, 39, 57, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "0",
        "1000000",
        "-1",
        "2026-02-30",
        "2026-13-01",
        "yesterday",
        "2026-05-31T12:00:00",
        "20260531T12",
        "²",
    ],
)
def test_what_is_no_point_in_time_is_refused_with_a_remedy(text):
    with pytest.raises(ValueError, match="Write a revision's number"):
        parse_point(text)
