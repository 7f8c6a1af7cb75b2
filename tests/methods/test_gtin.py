"""Trade numbers against published numbers; where a number came from is said beside it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.identifiers import expand_upce, gtin_check_digit, gtins_near, parse_gtin

VALID = [
    ("6291041500213", "06291041500213"),  # GS1 check digit worked example: weighted sum 57, check digit 3
    ("73513537", "00000073513537"),  # GTIN-8 in the documentation of python-stdnum 2.2
    ("036000291452", "00036000291452"),  # usual UPC-A illustration, from memory; python-stdnum 2.2 agrees
    ("4006381333931", "04006381333931"),  # usual EAN-13 illustration, from memory; python-stdnum 2.2 agrees
    (
        "9780306406157",
        "09780306406157",
    ),  # ISBN Users' Manual worked example, from memory; python-stdnum agrees
    ("9780471117094", "09780471117094"),  # ISBN-13 in the documentation of python-stdnum 2.2
    ("10614141543219", "10614141543219"),  # GTIN-14, from memory; arithmetic only
    ("16291041500210", "16291041500210"),  # the first row with indicator 1; arithmetic only
    ("26291041500217", "26291041500217"),  # the first row with indicator 2; arithmetic only
    ("86291041500219", "86291041500219"),  # the first row with indicator 8; arithmetic only
]
UPC_E = [  # all expansions by biip 5.2.0, rule of the GS1 General Specifications
    ("04252614", "042100005264"),
    ("01234505", "012000003455"),
    ("01234514", "012100003454"),
    ("01234523", "012200003453"),
    ("01234531", "012300000451"),
    ("01234543", "012340000053"),
    ("01234558", "012345000058"),
    ("06543217", "065100004327"),
    ("01234596", "012345000096"),
    ("07834909", "078000003499"),
]


@pytest.mark.parametrize(("digits", "gtin14"), VALID)
def test_published_numbers_are_widened_to_fourteen_digits(digits, gtin14):
    assert parse_gtin(digits) == gtin14
    assert gtin_check_digit(digits[:-1]) == digits[-1]


@pytest.mark.parametrize(("short", "upc_a"), UPC_E)
def test_a_upc_e_expands_to_its_upc_a(short, upc_a):
    assert expand_upce(short) == upc_a
    assert parse_gtin(short) == f"00{upc_a}"


def test_the_check_digit_of_an_sscc_follows_the_same_rule():
    assert gtin_check_digit("10614141234567890") == "8"  # SSCC illustration, from memory; arithmetic only


@pytest.mark.parametrize(
    ("digits", "expected"),
    [("6291041500214", "3"), ("6291041500231", "7"), ("036000291453", "2"), ("73513538", "7")],
)
def test_a_wrong_check_digit_is_refused_with_the_expected_one(digits, expected):
    with pytest.raises(ValueError, match=f"should be {expected} .*Compare every digit"):
        parse_gtin(digits)


def test_spaces_and_hyphens_do_not_matter():
    assert parse_gtin(" 6 291041-500213 ") == "06291041500213"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "8, 12, 13 or 14 digits"),
        ("629104150021", "should be"),
        ("62910415002", "has 11"),
        ("106141412345678908", "has 18"),
        ("62910415002l3", "not “l”"),
        ("6291041500²13", "digits only"),
        ("٦291041500213", "digits only"),
        ("0000000000000", "no bar code number"),
        ("6" * 400, "far too long"),
    ],
)
def test_what_is_no_bar_code_number_is_refused_in_words(typed, says):
    with pytest.raises(ValueError, match=says):
        parse_gtin(typed)


def test_eight_digits_that_begin_with_1_and_can_be_read_both_ways_must_be_typed_in_full():
    # By hand, as a GTIN-8: 3x5 + 5 + 3x5 + 4 + 3x3 + 2 + 3x1 = 53, so 7. A UPC-E whose sixth digit is 5 to 9
    # only gains four zeros, which move no weight: 7 again.
    with pytest.raises(ValueError, match="00000012345557 for the GTIN-8 or 123455000057 for the UPC-E"):
        parse_gtin("12345557")


@pytest.mark.parametrize("text", ["21234505", "0123450", "012345055", "01234506"])
def test_only_a_upc_e_can_be_expanded(text):
    with pytest.raises(ValueError, match="UPC-E"):
        expand_upce(text)


@given(st.text("0123456789", min_size=12, max_size=12), st.integers(0, 12), st.integers(1, 9))
def test_every_single_wrong_digit_of_a_gtin_13_is_caught(body, place, shift):
    whole = body + gtin_check_digit(body)
    wrong = whole[:place] + str((int(whole[place]) + shift) % 10) + whole[place + 1 :]
    with pytest.raises(ValueError, match="should be|no bar code"):
        parse_gtin(wrong)


@given(st.text("0123456789", min_size=13, max_size=13).filter(lambda digits: int(digits)))
def test_a_gtin_14_is_read_back_as_itself(body):
    whole = body + gtin_check_digit(body)
    assert parse_gtin(whole) == whole


@pytest.mark.parametrize("digits", ["", "12a", "12.5", "１２"])
def test_a_check_digit_is_made_of_plain_digits_only(digits):
    with pytest.raises(ValueError, match="0 to 9"):
        gtin_check_digit(digits)


@pytest.mark.parametrize("typed", ["6291041500214", "6290141500213", "629104150213", "62910415500213"])
def test_what_is_one_slip_away_from_a_number_is_near_it(typed):
    near = gtins_near(typed)
    assert "06291041500213" in near
    assert near == sorted({parse_gtin(one) for one in near})


def test_letters_are_near_to_no_number():
    with pytest.raises(ValueError, match="digits only"):
        gtins_near("629104150021x")
