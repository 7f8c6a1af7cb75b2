"""Founding mode: with fewer than five eligible reviewers two votes suffice, one of them a moderator's."""

import pytest

from tests.methods.small_release import LOOSE, SmallRelease, verified_baseline


def young_release(eligible: int = 4) -> SmallRelease:
    """`verified_baseline` among few reviewers, its claim with one vote by photo."""
    release = verified_baseline()
    release.set(eligible_reviewers=eligible, votes=())
    release.vote("a_wheels", "rut")
    return release


def founded(eligible: int = 4) -> SmallRelease:
    release = young_release(eligible)
    release.vote("a_wheels", "mod", moderator=True)
    return release


def test_two_votes_one_a_moderators_confirm_and_verify_flagged_as_founding():
    release = founded()
    claim, variant = release.claim_standing("a_wheels"), release.variant_standing("a")
    assert (claim.standing, claim.founding, round(claim.posterior, 2)) == ("confirmed", True, 0.94)
    assert (variant.standing, variant.founding) == ("verified", True)
    assert release.decide().founding


def test_with_five_eligible_reviewers_the_same_votes_do_not_suffice():
    release = founded(eligible=5)
    assert release.claim_standing("a_wheels").standing == "open"
    assert release.variant_standing("a").standing == "provisional"
    assert not release.decide().founding


def test_two_votes_without_a_moderators_do_not_suffice():
    release = young_release()
    release.vote("a_wheels", "sol")
    assert release.claim_standing("a_wheels").standing == "open"


def test_a_moderators_vote_alone_does_not_suffice():
    release = founded()
    release.withdraw("a_wheels", "rut")
    assert release.claim_standing("a_wheels").standing == "open"


@pytest.mark.parametrize(
    ("dissenter", "standing", "founding"), [("mod", "open", False), ("una", "confirmed", True)]
)
def test_the_moderator_must_be_among_those_who_confirm(dissenter, standing, founding):
    release = young_release()
    release.confirmed_by("rut", "sol", "una", claim="a_wheels")
    release.vote("a_wheels", "mod", moderator=True)
    release.vote("a_wheels", dissenter, "contradicts", moderator=dissenter == "mod")
    claim = release.claim_standing("a_wheels")
    assert 0.90 < claim.posterior < 0.95
    assert (claim.standing, claim.founding) == (standing, founding)


def test_a_claim_that_meets_the_full_rule_is_not_flagged():
    release = founded()
    release.vote("a_wheels", "tam")
    assert not release.claim_standing("a_wheels").founding
    assert not release.variant_standing("a").founding


def test_marks_do_not_relax():
    release = founded()
    release.set(marks=())
    claim = release.claim_standing("a_wheels")
    assert (claim.standing, claim.founding) == ("open", False)


def test_sealed_proof_does_not_relax():
    release = founded()
    release.set(clear_sealed_pack=True)
    release.change_claim("a_wheels", alterable=True, seen_in_pack=True)
    assert release.claim_standing("a_wheels").standing == "open"


def test_examples_do_not_relax():
    release = founded()
    release.link("ada", "ben")
    assert release.claim_standing("a_wheels").standing == "confirmed"
    assert release.variant_standing("a").standing == "provisional"


def test_two_contradictions_in_hand_one_a_moderators_refute():
    release = young_release()
    release.vote("a_wheels", "rut", "contradicts", LOOSE)
    release.vote("a_wheels", "mod", "contradicts", LOOSE, moderator=True)
    claim = release.claim_standing("a_wheels")
    assert (claim.standing, claim.founding) == ("refuted", True)


def test_a_claim_that_meets_the_full_rule_for_being_refuted_is_not_flagged():
    release = young_release()
    for member in ("rut", "sol"):
        release.vote("a_wheels", member, "contradicts")
    release.vote("a_wheels", "mod", "contradicts", moderator=True)
    claim = release.claim_standing("a_wheels")
    assert (claim.standing, claim.founding) == ("refuted", False)


def test_a_cause_confirmed_by_founding_mode_flags_what_it_sets_apart():
    release = founded()
    release.variant("b", cause="altered")
    release.vote("b_cause", "rut")
    release.vote("b_cause", "mod", moderator=True)
    variant = release.variant_standing("b")
    assert (variant.standing, variant.founding) == ("set_apart", True)


def test_a_contested_variant_that_stood_by_founding_mode_stays_flagged():
    release = founded()
    release.dispute("a_wheels", "silver")
    variant = release.variant_standing("a")
    assert (variant.standing, variant.founding) == ("contested", True)
    assert not release.claim_standing("a_wheels").founding


def test_a_variant_that_stands_by_nothing_is_not_flagged():
    release = founded()
    release.link("ada", "ben")
    assert not release.variant_standing("a").founding  # provisional
    release = founded()
    release.set(variants=tuple(type(v)(v.id, v.seq, v.title, "struck") for v in release.facts.variants))
    assert not release.variant_standing("a").founding


def test_what_founding_mode_decided_is_examined_again_once_there_are_reviewers_enough():
    release = founded()
    release.set(eligible_reviewers=5)
    assert release.variant_standing("a").standing == "provisional"
    assert release.variant_standing("a").missing == ("one more vote on wheels",)


@pytest.mark.parametrize("eligible", [0, 4])
def test_founding_mode_applies_below_five(eligible):
    assert founded(eligible).decide().founding
