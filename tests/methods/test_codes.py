"""Production codes. Dates are checked against the C library's calendar, through strptime: %G-W%V, %j, %m."""

import re
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.codes import Pattern, Reading


@pytest.mark.parametrize(
    ("template", "first_year", "code", "earliest", "latest", "precision"),
    [
        # ISO 8601: week 53 of 2020 runs into January, week 1 of 2026 begins in December.
        ("{Y}{ww}", 2018, "C53", date(2020, 12, 28), date(2021, 1, 3), "a week"),
        ("{yy}{ww}", 2000, "2601", date(2025, 12, 29), date(2026, 1, 4), "a week"),
        ("{yy}{ddd}", 2000, "24366", date(2024, 12, 31), date(2024, 12, 31), "a day"),
        ("{M}{y}", 2015, "B4", date(2024, 2, 1), date(2024, 2, 29), "a month"),
        ("{M}{y}", 2015, "L5", date(2015, 12, 1), date(2015, 12, 31), "a month"),
        ("{dd}.{mm}.{yyyy}", 1990, "07.03.2024", date(2024, 3, 7), date(2024, 3, 7), "a day"),
        ("OT-{?}{yy}/{#}", 1990, "ot-b24/7 ", date(2024, 1, 1), date(2024, 12, 31), "a year"),
        ("{yy}", 1970, "69", date(2069, 1, 1), date(2069, 12, 31), "a year"),
        ("{yy}", 1970, "70", date(1970, 1, 1), date(1970, 12, 31), "a year"),
    ],
)
def test_a_code_is_read_into_the_days_it_can_mean(template, first_year, code, earliest, latest, precision):
    pattern = Pattern(template, first_year)
    assert pattern.read(code) == Reading(earliest, latest)
    assert pattern.precision == precision


def test_the_margin_widens_what_a_code_says_on_both_sides():
    assert Pattern("{yy}{mm}", 2000, margin_days=3).read("2403") == (date(2024, 2, 27), date(2024, 4, 3))


@given(st.dates(date(2000, 1, 3), date(2025, 12, 28)))
def test_every_day_lies_in_what_its_own_code_says(day):
    year, week, _ = day.isocalendar()
    for template, first_year, code in [
        ("{Y}{ww}", 2000, f"{chr(65 + year - 2000)}{week:02}"),
        ("{yy}{mm}", 2000, f"{day:%y%m}"),
        ("{yyyy}{ddd}", 2000, f"{day:%Y%j}"),
        ("{dd}{M}{yy}", 2000, f"{day:%d}{chr(64 + day.month)}{day:%y}"),
    ]:
        earliest, latest = Pattern(template, first_year).read(code)
        assert earliest <= day <= latest


@given(st.integers(2000, 2099), st.integers(1, 53))
def test_weeks_are_those_of_the_c_library(year, week):
    monday = datetime.strptime(f"{year}-W{week:02}-1", "%G-W%V-%u").date() if has_week(year, week) else None
    pattern = Pattern("{yy}{ww}", 2000)
    if monday is None:
        with pytest.raises(ValueError, match="no such date"):
            pattern.read(f"{year % 100:02}{week:02}")
    else:
        assert pattern.read(f"{year % 100:02}{week:02}") == (monday, monday + timedelta(days=6))


def has_week(year, week):
    """28 December is always in the last week of its year."""
    return week <= date(year, 12, 28).isocalendar().week


@pytest.mark.parametrize(
    ("template", "words"),
    [
        ("", "1 to 40"),
        ("{yy}" + "A" * 40, "1 to 40"),
        ("{ww}", "exactly one field for the year"),
        ("{yy}{Y}", "exactly one field for the year"),
        ("{yy}{dd}", "may go on"),
        ("{yy}{ww}{mm}", "may go on"),
        ("{yy}{mm}{mm}", "may go on"),
        ("{yy}{hh}", "no field {hh}"),
        ("{yy}(a+)+", "symbol 5"),
        ("{yy}.*a", "symbol 6"),
        ("{yy", "symbol 1"),
    ],
)
def test_a_template_that_cannot_be_read_is_refused(template, words):
    with pytest.raises(ValueError, match=re.escape(words)):
        Pattern(template, 2000)


@pytest.mark.parametrize("wrong", [{"first_year": 1800}, {"first_year": 2000, "margin_days": 400}])
def test_numbers_that_make_no_sense_are_refused(wrong):
    with pytest.raises(ValueError, match="year|margin"):
        Pattern("{yy}", **wrong)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("C1", "2 symbols"),
        ("C123", "4 symbols"),
        ("007", "a letter"),
        ("Cx7", "2 digits"),
        ("C٠٧", "2 digits"),
        ("Ж07", "a letter"),
        ("C00", "no such date"),
        ("C54", "no such date"),
    ],
)
def test_a_code_that_does_not_fit_says_where(code, words):
    with pytest.raises(ValueError, match=words):
        Pattern("{Y}{ww}", 2000).read(code)


def test_a_symbol_out_of_place_and_a_day_of_the_year_too_many_are_named():
    with pytest.raises(ValueError, match="symbol 1 is 'X' where 'K' stands"):
        Pattern("K{yy}", 2000).read("x24")
    with pytest.raises(ValueError, match="no such date"):
        Pattern("{yy}{ddd}", 2000).read("23366")
    with pytest.raises(ValueError, match="no such date"):
        Pattern("{yy}{M}", 2000).read("23Z")
    with pytest.raises(ValueError, match="none of the hundred"):
        Pattern("{yyyy}", 2000).read("2100")
