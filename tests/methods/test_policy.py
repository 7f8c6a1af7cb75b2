"""The first policy's numbers, and how a policy is written down."""

from dataclasses import replace

import pytest

from registry.methods.canon import canonical
from registry.methods.policy import EQUAL, FIRST_POLICY, Policy, Rates


def test_the_first_policy_has_the_published_numbers():
    assert FIRST_POLICY.to_dict() == {
        "version": 1,
        "prior_per_10000": 5000,
        "sensitivity_in_hand_per_10000": 8500,
        "specificity_in_hand_per_10000": 8500,
        "sensitivity_photo_per_10000": 8000,
        "specificity_photo_per_10000": 8000,
        "confirm_at_per_10000": 9500,
        "refute_at_per_10000": 500,
        "votes_needed": 3,
        "own_example_votes_needed": 2,
        "founding_below": 5,
        "founding_confirm_at_per_10000": 9000,
        "founding_votes_needed": 2,
        "loose_substitutes": 3,
    }


def test_a_policy_is_read_back_as_it_was_written():
    later = replace(FIRST_POLICY, version=2, sensitivity_photo=0.8125, confirm_at=0.9725)
    assert Policy.from_dict(later.to_dict()) == later
    assert Policy.from_dict(FIRST_POLICY.to_dict()) == FIRST_POLICY


def test_a_written_policy_fits_a_canonical_record():
    assert b'"confirm_at_per_10000":9500' in canonical(FIRST_POLICY.to_dict())


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"prior": 0.0}, "prior must lie between 0 and 1"),
        ({"confirm_at": 1.0}, "confirm_at must lie between 0 and 1"),
        ({"prior": 0.12345}, "prior has more than four decimals"),
        ({"sensitivity_photo": 0.2}, r"sensitivity and specificity \(photo\)"),
        ({"refute_at": 0.95}, "refute_at must be below"),
        ({"founding_confirm_at": 0.96}, "founding_confirm_at"),
        ({"votes_needed": 0}, "votes_needed must be at least 1"),
    ],
)
def test_numbers_that_make_no_sense_are_refused_by_name(change, says):
    with pytest.raises(ValueError, match=says):
        replace(FIRST_POLICY, **change)


@pytest.mark.parametrize("numbers", [{}, {**FIRST_POLICY.to_dict(), "colour": 1}])
def test_a_policy_with_a_number_too_few_or_too_many_is_refused(numbers):
    with pytest.raises(ValueError, match="no policy of ours"):
        Policy.from_dict(numbers)


def test_equal_reliabilities_are_the_policys_own():
    assert EQUAL.rates("rut", "wheel", True, FIRST_POLICY) == Rates(0.85, 0.85)
    assert EQUAL.rates("sol", "print", False, FIRST_POLICY) == Rates(0.80, 0.80)
