"""When a variant is verified, contested or set apart."""

import pytest

from tests.methods.small_release import SmallRelease, verified_baseline, verified_pair


def standing(release: SmallRelease, variant: str = "b") -> str:
    return release.variant_standing(variant).standing


def test_a_baseline_is_verified_without_a_vote_on_its_cause():
    release = verified_baseline()
    assert standing(release, "a") == "verified"
    assert release.claim_standing("a_cause").standing == "open"
    assert release.claim_standing("a_cause").missing == ()


def test_a_running_change_is_verified_beside_its_baseline():
    release = verified_pair()
    assert (standing(release, "a"), standing(release, "b")) == ("verified", "verified")
    assert release.variant_standing("b").missing == ()


def test_parallel_production_is_verified_too():
    release = verified_pair()
    release.change_claim("b_cause", state="parallel")
    assert standing(release) == "verified"


@pytest.mark.parametrize("cause", ["factory_error", "altered", "camera_or_light", "pre_production", "drift"])
def test_any_other_confirmed_cause_sets_apart(cause):
    release = verified_pair()
    release.change_claim("b_cause", state=cause)
    assert release.variant_standing("b").standing == "set_apart"
    assert release.variant_standing("b").missing == ()


def test_a_confirmed_cause_sets_apart_whatever_else_is_missing():
    release = SmallRelease()
    release.variant("a", cause="baseline")
    release.variant("b", cause="altered")
    release.confirmed_by("rut", "sol", "tam", claim="b_cause")
    assert standing(release) == "set_apart"


def test_a_cause_that_is_only_claimed_sets_nothing_apart():
    release = verified_pair()
    release.change_claim("b_cause", state="altered")
    release.withdraw("b_cause", "tam")
    assert standing(release) == "provisional"


@pytest.mark.parametrize("member", ["rut", "sol", "tam"])
def test_an_unconfirmed_cause_keeps_a_variant_provisional(member):
    release = verified_pair()
    release.withdraw("b_cause", member)
    assert standing(release) == "provisional"


def test_a_variant_whose_cause_is_not_known_stays_provisional():
    release = verified_pair()
    release.change_claim("b_cause", state="not_known")
    assert standing(release) == "provisional"


def test_a_variant_without_a_claim_on_cause_stays_provisional():
    release = verified_pair()
    release.change_claim("b_cause", is_open=False)
    assert standing(release) == "provisional"


def test_only_the_first_sent_variant_is_a_baseline_without_a_vote():
    release = verified_pair()
    release.change_claim("b_cause", state="baseline")
    assert standing(release) == "verified"  # it has its three votes
    release.withdraw("b_cause", "rut")
    assert standing(release) == "provisional"


def test_a_baseline_that_the_votes_refute_is_not_verified():
    release = verified_baseline()
    for member in ("rut", "sol", "tam"):
        release.vote("a_cause", member, "contradicts")
    assert standing(release, "a") == "provisional"


def test_every_difference_must_be_confirmed():
    release = verified_pair()
    release.difference("b_crest", "b", "crest", "low")
    release.shown("b_crest", on="b1")
    release.shown("b_crest", on="b2")
    assert standing(release) == "provisional"
    release.confirmed_by("rut", "sol", "tam", claim="b_crest")
    assert standing(release) == "verified"


def test_a_variant_without_a_difference_claim_is_never_verified():
    release = verified_pair()
    release.change_claim("b_wheels", is_difference=False)
    assert standing(release) == "provisional"


@pytest.mark.parametrize("verdict", ["confirms", "contradicts"])
def test_claims_added_later_do_not_change_a_variant(verdict):
    release = verified_pair()
    before = release.decide().variants
    release.claim("b_crest", "b", "crest", "low", accepted=False)
    assert release.decide().variants == before
    for member in ("rut", "sol", "tam"):
        release.vote("b_crest", member, verdict)
    assert release.decide().variants == before


def test_a_dispute_of_a_claim_added_later_does_not_contest_the_variant():
    release = verified_pair()
    release.claim("b_crest", "b", "crest", "low")
    release.dispute("b_crest", "high")
    assert standing(release) == "verified"


# Proposals


def test_no_variant_is_verified_while_its_release_is_proposed():
    release = verified_pair()
    release.set(release_accepted=False)
    assert (standing(release, "a"), standing(release, "b")) == ("provisional", "provisional")


def test_no_variant_is_verified_while_a_difference_is_proposed():
    release = verified_pair()
    release.change_claim("b_wheels", accepted=False)
    assert release.claim_standing("b_wheels").standing == "confirmed"
    assert (standing(release, "a"), standing(release, "b")) == ("verified", "provisional")


# Independent examples


def pair_with_examples(first: dict, second: dict) -> SmallRelease:
    """`verified_pair` with other finding places for the two examples of `b`."""
    release = verified_pair()
    release.set(examples=tuple(e for e in release.facts.examples if e.id not in ("b1", "b2")))
    release.example("b1", **{"owner": "ada", **first})
    release.example("b2", **{"owner": "cy", **second})
    return release


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({"shop": "Kiosk"}, {"shop": "Ferry"}),
        ({"month": "2024-03"}, {"month": "2024-04"}),
        ({"case": "C-0117"}, {"case": "C-0118"}),
        ({"case": "C-0117", "shop": "Kiosk"}, {"shop": "Ferry"}),
        ({"case": "C-0117", "shop": "Kiosk"}, {"case": "C-0118", "shop": "Kiosk"}),
    ],
)
def test_examples_found_in_known_different_places_are_independent(first, second):
    assert standing(pair_with_examples(first, second)) == "verified"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({}, {}),
        ({"shop": "Kiosk"}, {}),
        ({"shop": "Kiosk"}, {"month": "2024-04"}),
        ({"shop": "Kiosk"}, {"shop": "Kiosk"}),
        ({"case": "C-0117", "shop": "Kiosk"}, {"case": "C-0117", "shop": "Ferry"}),
        ({"shop": "Kiosk", "owner": "cy"}, {"shop": "Ferry"}),
        ({"shop": "Kiosk", "owner": None}, {"shop": "Ferry"}),
        ({"shop": "Kiosk"}, {"shop": "Ferry", "owner": None}),
    ],
)
def test_examples_of_one_owner_one_case_or_unknown_origin_are_not_independent(first, second):
    assert standing(pair_with_examples(first, second)) == "provisional"


def test_examples_of_linked_owners_are_not_independent():
    release = verified_pair()
    release.link("ada", "cy")
    assert (standing(release, "a"), standing(release, "b")) == ("verified", "provisional")


def test_one_example_known_worldwide_stays_provisional():
    release = verified_pair()
    release.set(marks=tuple(m for m in release.facts.marks if m.example != "b2"))
    assert release.claim_standing("b_wheels").standing == "confirmed"
    assert standing(release) == "provisional"


def two_differences(crest_on: tuple[str, ...], wheels_on: tuple[str, ...]) -> SmallRelease:
    """`b` differs in wheels and crest, each marked on the examples named: b1 to b3, of three owners."""
    release = verified_pair()
    release.set(marks=tuple(m for m in release.facts.marks if m.claim != "b_wheels"))
    release.example("b3", "dora", shop="Quay", month="2024-08")
    release.difference("b_crest", "b", "crest", "low")
    release.confirmed_by("rut", "sol", "tam", claim="b_crest")
    for example in crest_on:
        release.shown("b_crest", on=example)
    for example in wheels_on:
        release.shown("b_wheels", on=example)
    return release


def test_one_example_must_show_every_difference_and_an_independent_one_at_least_one():
    assert standing(two_differences(("b1", "b2"), ("b1", "b3"))) == "verified"
    assert standing(two_differences(("b1", "b2"), ("b1", "b2"))) == "verified"


def test_differences_never_seen_together_on_one_example_do_not_verify():
    release = two_differences(("b1", "b2"), ("b3", "b4"))
    release.example("b4", "eik", shop="Lock", month="2024-09")
    assert release.claim_standing("b_wheels").standing == "confirmed"
    assert standing(release) == "provisional"


def test_each_difference_needs_two_independent_examples():
    assert standing(two_differences(("b1", "b2"), ("b1",))) == "provisional"


def test_an_example_counts_once_however_many_photos_show_it():
    release = verified_pair()
    release.set(marks=tuple(m for m in release.facts.marks if m.example != "b2"))
    release.shown("b_wheels", on="b1")
    release.shown("b_wheels", on="b1")
    assert release.claim_standing("b_wheels").examples == 1
    assert standing(release) == "provisional"


# Telling variants apart


def third_like(release: SmallRelease, trait: str, state: str) -> SmallRelease:
    """A third variant `c`, complete but for what tells it from the others; its difference is on the trait."""
    release.variant("c")
    release.difference("c_differs", "c", trait, state)
    release.example("c1", "ada", shop="Kiosk", month="2024-09")
    release.example("c2", "ben", shop="Ferry", month="2024-10")
    release.shown("c_differs", on="c1")
    release.shown("c_differs", on="c2")
    release.confirmed_by("rut", "sol", "tam", claim="c_differs")
    release.confirmed_by("rut", "sol", "tam", claim="c_cause")
    return release


def test_a_variant_must_differ_from_each_earlier_verified_one():
    assert standing(third_like(verified_pair(), "wheels", "silver"), "c") == "verified"
    assert standing(third_like(verified_pair(), "wheels", "gold"), "c") == "provisional"


def test_a_difference_counts_only_where_both_have_a_confirmed_claim():
    release = third_like(verified_pair(), "crest", "low")
    assert standing(release, "c") == "provisional"
    for variant in ("a", "b"):
        release.claim(f"{variant}_crest", variant, "crest", "high")
        release.shown(f"{variant}_crest", on=f"{variant}1")
    assert standing(release, "c") == "provisional"
    for variant in ("a", "b"):
        release.confirmed_by("rut", "sol", "tam", claim=f"{variant}_crest")
    assert standing(release, "c") == "verified"


def test_a_difference_in_cause_tells_no_variants_apart():
    release = third_like(verified_pair(), "wheels", "gold")
    release.change_claim("c_cause", state="parallel")
    assert standing(release, "c") == "provisional"


def test_a_variant_need_not_differ_from_a_provisional_one():
    release = verified_pair()
    release.withdraw("b_cause", "tam")
    assert standing(third_like(release, "wheels", "gold"), "c") == "verified"


@pytest.mark.parametrize("event", ["struck", "merged", "split"])
def test_a_variant_need_not_differ_from_one_that_has_ended(event):
    release = third_like(verified_pair(), "wheels", "gold")
    release.set(
        variants=tuple(
            type(v)(v.id, v.seq, v.title, event) if v.id == "b" else v for v in release.facts.variants
        )
    )
    assert standing(release, "b") == event
    assert standing(release, "c") == "verified"


def test_a_variant_must_differ_from_an_earlier_contested_one():
    release = third_like(verified_pair(), "wheels", "gold")
    release.dispute("b_cause", "factory_error")
    assert standing(release, "b") == "contested"
    assert standing(release, "c") == "provisional"


def test_the_order_of_sending_decides_which_of_two_equals_is_verified():
    release = third_like(verified_pair(), "wheels", "gold")
    release.set(variants=tuple(type(v)(v.id, {"a": 1, "b": 9, "c": 5}[v.id]) for v in release.facts.variants))
    assert (standing(release, "b"), standing(release, "c")) == ("provisional", "verified")


# Contested


@pytest.mark.parametrize("claim", ["b_wheels", "b_cause"])
def test_a_contesting_dispute_of_a_difference_or_the_cause_contests_the_variant(claim):
    release = verified_pair()
    release.dispute(claim, "drift" if claim == "b_cause" else "silver")
    assert standing(release) == "contested"
    assert standing(release, "a") == "verified"


def test_a_contested_baseline_is_contested():
    release = verified_baseline()
    release.dispute("a_cause", "running_change")
    assert standing(release, "a") == "contested"


def test_a_variant_set_apart_can_be_contested_by_its_cause():
    release = verified_pair()
    release.change_claim("b_cause", state="altered")
    release.dispute("b_cause", "running_change")
    assert standing(release) == "contested"


def test_a_dispute_that_a_second_reviewer_joined_contests_though_their_vote_weighs_too():
    release = verified_pair()
    release.dispute("b_wheels", "silver", photo=False)
    assert standing(release) == "verified"
    release.vote("r_b_wheels", "una")
    assert release.claim_standing("b_wheels").posterior < 0.95
    assert standing(release) == "contested"


def test_a_variant_that_lacks_something_else_as_well_is_provisional_not_contested():
    release = verified_pair()
    release.dispute("b_wheels", "silver")
    release.withdraw("b_cause", "tam")
    assert standing(release) == "provisional"


def test_a_dispute_that_contests_nothing_yet_leaves_the_variant_verified():
    release = verified_pair()
    release.dispute("b_wheels", "silver", photo=False)
    assert standing(release) == "verified"


@pytest.mark.parametrize("event", ["struck", "merged", "split"])
def test_a_moderators_event_precedes_everything(event):
    release = verified_pair()
    release.dispute("b_wheels", "silver")
    release.set(
        variants=tuple(
            type(v)(v.id, v.seq, v.title, event) if v.id == "b" else v for v in release.facts.variants
        )
    )
    assert standing(release) == event
    assert release.variant_standing("b").missing == ()
