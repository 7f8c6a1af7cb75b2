"""Public ids: every single slip of the pen is caught, and forgiving reading leads to one spelling."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.identifiers import ALPHABET, check_symbol, is_id, mint, parse_id, show_id

KNOWN = "4k7d9xwpm2cx"
BODIES = ["4k7d9xwpm2c", "0123456789b", "zzzzzzzzzzz", "00000000001", "bcdfghjklmn"]
IDS = [body + check_symbol(body) for body in BODIES]
bodies = st.text(alphabet=ALPHABET, min_size=11, max_size=11)


def test_the_alphabet_has_31_symbols_and_no_vowels():
    assert len(set(ALPHABET)) == len(ALPHABET) == 31
    assert not set("aeiou") & set(ALPHABET)


def test_the_check_symbol_is_the_weighted_sum_modulo_31():
    # By hand: only position 1 is not "0"; 1 x 4 = 4, and 11 x index("z") = 11 x 30 = 330 = 20 modulo 31.
    assert check_symbol("40000000000") == "4"
    assert check_symbol("0000000000z") == ALPHABET[20]


@pytest.mark.parametrize("body", ["", "4k7d9xwpm2", "4k7d9xwpm2cx", "4k7d9xwpm2a", "4K7d9xwpm2c"])
def test_a_check_symbol_needs_eleven_symbols_of_the_alphabet(body):
    with pytest.raises(ValueError, match="11 symbols"):
        check_symbol(body)


@pytest.mark.parametrize("public_id", IDS)
def test_every_single_wrong_symbol_is_caught(public_id):
    wrong = [
        public_id[:place] + symbol + public_id[place + 1 :]
        for place in range(12)
        for symbol in ALPHABET
        if symbol != public_id[place]
    ]
    assert len(wrong) == 360
    assert not [text for text in wrong if is_id(text)]


@given(bodies)
def test_every_swap_of_two_symbols_is_caught(body):
    public_id = body + check_symbol(body)
    for one, other in combinations(range(12), 2):
        swapped = list(public_id)
        swapped[one], swapped[other] = swapped[other], swapped[one]
        assert is_id("".join(swapped)) == (public_id[one] == public_id[other])


def test_minted_ids_are_ids_and_differ():
    minted = {mint() for _ in range(2000)}
    assert len(minted) == 2000
    assert all(is_id(public_id) for public_id in minted)


def test_minting_uses_every_symbol_in_every_place():
    minted = [mint() for _ in range(3000)]
    for place in range(12):
        assert {public_id[place] for public_id in minted} == set(ALPHABET)


@given(bodies)
def test_what_is_shown_is_read_back(body):
    public_id = body + check_symbol(body)
    assert parse_id(show_id(public_id)) == public_id
    assert parse_id(f"  {show_id(public_id).upper()} ") == public_id


def test_ids_are_shown_in_groups_of_four():
    assert show_id(KNOWN) == "4k7d-9xwp-m2cx"


@pytest.mark.parametrize(
    "typed", ["4K7D 9XWP M2CX", "4k7d–9xwp–m2cx", "\t4k7d9xwp\u00a0m2cx\n", "4-k-7-d9xwpm2cx"]
)
def test_case_spaces_and_any_hyphen_do_not_matter(typed):
    assert parse_id(typed) == KNOWN


@pytest.mark.parametrize("text", [KNOWN.upper(), show_id(KNOWN), f" {KNOWN}", KNOWN[:-1], KNOWN + "0", ""])
def test_only_the_canonical_spelling_is_an_id(text):
    assert is_id(KNOWN)
    assert not is_id(text)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("4k7d-9xwp-m2", "12 symbols, this one has 10"),
        ("", "this one has 0"),
        ("4k7d-9xwp-m2co", "has no “o”"),
        ("4k7d-9xwp-m2c\x00", r"U\+0000"),
        ("4k7d-9xwp-m2cz", "4k7d-9xwp-m2cz does not add up"),
        ("k47d-9xwp-m2cx", "two are swapped"),
        ("4" * 5000, "5000 characters"),
    ],
)
def test_a_faulty_id_is_refused_with_the_fault_and_the_remedy(typed, says):
    with pytest.raises(ValueError, match=says) as refusal:
        parse_id(typed)
    assert "ype" in str(refusal.value)
