"""A claim on an alterable trait needs sealed proof, or three loose examples where that may stand in.

The rule is common practice, no published source.
"""

import pytest

from tests.methods.small_release import SmallRelease

SEAL, BOTH = ("seal_all_round",), ("rivets", "axles")


def alterable_claim(**release_facts) -> SmallRelease:
    """Three votes and a mark on a loose example; only the proof is wanting. A clear sealed pack exists."""
    release = SmallRelease()
    release.set(**{"clear_sealed_pack": True, **release_facts})
    release.difference("a_wheels", alterable=True, seen_in_pack=True)
    release.confirmed_by("rut", "sol", "tam", claim="a_wheels")
    release.example("plain", "pia")
    release.shown("a_wheels", on="plain")
    return release


def three_loose(release: SmallRelease, owners=("ada", "ben", "cy"), views=BOTH) -> SmallRelease:
    for owner in owners:
        release.example(f"{owner}s", owner)
        release.shown("a_wheels", on=f"{owner}s", views=views)
    return release


def standing(release: SmallRelease) -> str:
    return release.claim_standing("a_wheels").standing


def test_an_alterable_claim_stays_open_without_sealed_proof():
    assert standing(alterable_claim()) == "open"


def test_one_sealed_example_with_its_seal_pictured_all_round_is_proof():
    release = alterable_claim()
    release.example("s", "dora", "sealed")
    release.shown("a_wheels", on="s", views=SEAL)
    assert standing(release) == "confirmed"
    assert release.claim_standing("a_wheels").sealed


def test_the_seal_may_be_pictured_on_another_photo_of_the_same_example():
    release = alterable_claim()
    release.example("s", "dora", "sealed")
    release.shown("a_wheels", on="s")
    assert standing(release) == "open"
    release.photo("around", "s", views=SEAL)
    assert standing(release) == "confirmed"


def test_a_sealed_example_that_is_not_marked_for_the_claim_proves_nothing():
    release = alterable_claim()
    release.example("s", "dora", "sealed")
    release.photo("around", "s", views=SEAL)
    assert standing(release) == "open"


@pytest.mark.parametrize("condition", ["loose", "boxed"])
def test_an_opened_example_is_no_sealed_proof(condition):
    release = alterable_claim()
    release.example("s", "dora", condition)
    release.shown("a_wheels", on="s", views=SEAL)
    assert standing(release) == "open"


def test_a_seal_pictured_on_a_photo_taken_down_proves_nothing():
    release = alterable_claim()
    release.example("s", "dora", "sealed")
    release.shown("a_wheels", on="s")
    release.photo("around", "s", views=SEAL)
    release.take_down("around")
    assert standing(release) == "open"


def test_three_loose_examples_do_not_stand_in_where_a_sealed_one_can_show_it():
    assert standing(three_loose(alterable_claim())) == "open"


def test_three_loose_examples_stand_in_where_the_trait_is_not_seen_in_the_pack():
    release = three_loose(alterable_claim())
    release.change_claim("a_wheels", seen_in_pack=False)
    assert standing(release) == "confirmed"


def test_three_loose_examples_stand_in_where_no_pack_is_sealed_and_see_through():
    assert standing(three_loose(alterable_claim(clear_sealed_pack=False))) == "confirmed"


def test_three_loose_examples_stand_in_where_sealed_ones_are_unobtainable():
    assert standing(three_loose(alterable_claim(sealed_unobtainable=True))) == "confirmed"


def test_two_loose_examples_do_not_stand_in():
    assert standing(three_loose(alterable_claim(clear_sealed_pack=False), owners=("ada", "ben"))) == "open"


@pytest.mark.parametrize("views", [(), ("rivets",), ("axles",), ("base", "rivets")])
def test_loose_examples_need_both_rivets_and_axles_pictured(views):
    assert standing(three_loose(alterable_claim(clear_sealed_pack=False), views=views)) == "open"


def test_rivets_and_axles_may_be_on_two_photos():
    release = three_loose(alterable_claim(clear_sealed_pack=False), views=("rivets",))
    for owner in ("ada", "ben", "cy"):
        release.photo(f"axles_{owner}", f"{owner}s", views=("axles",))
    assert standing(release) == "confirmed"


def test_loose_examples_of_linked_owners_count_once():
    release = three_loose(alterable_claim(clear_sealed_pack=False))
    release.link("ada", "cy")
    assert standing(release) == "open"


def test_loose_examples_of_unknown_owners_do_not_stand_in():
    release = three_loose(alterable_claim(clear_sealed_pack=False), owners=("ada", "ben"))
    release.example("stray", None)
    release.shown("a_wheels", on="stray", views=BOTH)
    assert standing(release) == "open"


def test_three_loose_examples_of_one_owner_count_once():
    release = alterable_claim(clear_sealed_pack=False)
    for name in ("one", "two", "three"):
        release.example(name, "ada")
        release.shown("a_wheels", on=name, views=BOTH)
    assert standing(release) == "open"


def test_a_claim_that_cannot_be_altered_needs_no_sealed_proof():
    release = alterable_claim()
    release.change_claim("a_wheels", alterable=False)
    assert standing(release) == "confirmed"
