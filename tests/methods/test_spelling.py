"""Slips of the hand: which words may be meant, and that the pieces asked for find them."""

from hypothesis import assume, given
from hypothesis import strategies as st

from registry.methods.spelling import pieces, slips, slips_allowed

words = st.text("abcdef", min_size=6, max_size=12)


@given(words, st.data())
def test_one_slip_is_counted_as_one_and_leaves_a_piece_whole(written, data):
    """By construction: a letter is left out, put in, mistaken, or swapped with its neighbour."""
    at = data.draw(st.integers(0, len(written) - 2))
    kind = data.draw(st.sampled_from(["out", "in", "other", "swap"]))
    before, here, after, rest = written[:at], written[at], written[at + 1], written[at + 2 :]
    typed = {
        "out": before + after + rest,
        "in": before + here + "x" + after + rest,
        "other": before + "x" + after + rest,
        "swap": before + after + here + rest,
    }[kind]
    assert slips(typed, written) in (0, 1)
    is_swap_in_the_middle = kind == "swap" and len(typed) == 6 and at == 2
    assume(len(typed) >= 6 and not is_swap_in_the_middle)
    assert any(piece in written for piece in pieces(typed))


@given(words)
def test_every_piece_has_three_letters_and_is_the_words_own(word):
    assert all(len(piece) >= 3 and piece in word for piece in pieces(word))


@given(words, words)
def test_no_more_slips_than_are_allowed(typed, written):
    found = slips(typed, written)
    assert found is None or 0 <= found <= slips_allowed(typed)
