"""What is still missing, in words a collector understands."""

import pytest

from registry.methods.standing import wording
from tests.methods.small_release import LOOSE, SmallRelease, verified_baseline, verified_pair


def fresh(**release_facts) -> SmallRelease:
    release = SmallRelease()
    release.set(**release_facts)
    release.variant("a", cause="baseline")
    release.difference("a_wheels", trait_name="Front wheels", state_name="Five-slot black")
    return release


def test_a_fresh_claim_lacks_votes_and_a_mark():
    assert fresh().claim_standing("a_wheels").missing == (
        "three more votes on front wheels, or two by owners with a photo of their own example",
        "a mark on a photo that shows front wheels",
    )


def test_a_fresh_claim_in_founding_mode_lacks_two_votes_one_a_moderators():
    release = fresh(eligible_reviewers=4)
    assert release.claim_standing("a_wheels").missing[0] == (
        "two more votes on front wheels, one of them a moderator's"
    )
    release.vote("a_wheels", "rut")
    assert release.claim_standing("a_wheels").missing[0] == "a moderator's vote on front wheels"
    release.vote("a_wheels", "mod", moderator=True)
    assert release.claim_standing("a_wheels").missing == ("a mark on a photo that shows front wheels",)


def test_where_any_vote_would_do_none_of_a_moderator_is_asked_for():
    release = fresh(eligible_reviewers=4)
    release.confirmed_by("rut", "sol", claim="a_wheels")
    assert release.claim_standing("a_wheels").missing[0] == "one more vote on front wheels"


def test_a_moderator_who_has_voted_is_not_asked_again():
    release = fresh(eligible_reviewers=4)
    release.vote("a_wheels", "mod", moderator=True)
    assert release.claim_standing("a_wheels").missing[0] == "one more vote on front wheels"


@pytest.mark.parametrize(
    ("votes", "says"),
    [
        ([("rut", "confirms")], "two more votes on front wheels"),
        ([("rut", "confirms"), ("sol", "confirms")], "one more vote on front wheels"),
        ([("rut", "contradicts")], "four more votes on front wheels"),
        ([("rut", "contradicts"), ("sol", "contradicts")], "five more votes on front wheels"),
    ],
)
def test_votes_against_are_made_up_for(votes, says):
    release = fresh()
    for member, verdict in votes:
        release.vote("a_wheels", member, verdict)
    assert release.claim_standing("a_wheels").missing[0].split(",")[0] == says


def test_the_votes_said_to_be_missing_do_suffice():
    release = fresh()
    release.example("a1", "ada")
    release.shown("a_wheels", on="a1")
    release.vote("a_wheels", "rut", "contradicts")
    release.confirmed_by("p", "q", "r", claim="a_wheels")
    assert release.claim_standing("a_wheels").missing[0].startswith("one more vote")
    release.vote("a_wheels", "s")
    assert release.claim_standing("a_wheels").standing == "confirmed"


def test_sealed_proof_is_asked_for_and_its_substitute_where_it_may_stand_in():
    release = fresh(clear_sealed_pack=True)
    release.change_claim("a_wheels", alterable=True, seen_in_pack=True)
    sealed = "one more sealed example of front wheels, its seal pictured all round"
    assert release.claim_standing("a_wheels").missing[-1] == sealed
    release.set(sealed_unobtainable=True)
    release.example("a1", "ada")
    release.shown("a_wheels", on="a1", views=("rivets", "axles"))
    assert release.claim_standing("a_wheels").missing[-1] == (
        f"{sealed}, or two more loose examples from other owners, rivets and axles pictured"
    )


def test_a_sealed_example_whose_seal_is_not_pictured_lacks_only_that_photo():
    release = fresh(clear_sealed_pack=True)
    release.change_claim("a_wheels", alterable=True, seen_in_pack=True)
    release.example("s", "dora", "sealed")
    release.shown("a_wheels", on="s")
    assert release.claim_standing("a_wheels").missing[-1] == (
        "a photo of the seal all round the sealed example that shows front wheels"
    )


def test_a_refuted_claim_lacks_a_correction():
    release = fresh()
    for member in ("rut", "sol", "tam"):
        release.vote("a_wheels", member, "contradicts")
    assert release.claim_standing("a_wheels").missing == (
        "front wheels to be corrected: the votes refute five-slot black",
    )


def test_a_disputed_claim_waits_for_the_end_of_the_dispute_and_its_rival_for_votes():
    release = verified_baseline()
    release.set(votes=())
    release.confirmed_by("rut", "sol", "tam", claim="a_wheels")
    release.dispute("a_wheels", "gold")
    assert release.claim_standing("a_wheels").missing == ("the dispute on wheels to end",)
    assert release.claim_standing("r_a_wheels").missing[0].startswith("six more votes on wheels as gold")
    assert release.variant_standing("a").missing == ("the dispute on wheels to end",)


def test_a_cause_is_named_with_what_it_is_said_to_be():
    release = verified_pair()
    release.withdraw("b_cause", "tam")
    release.withdraw("b_cause", "sol")
    assert release.variant_standing("b").missing == ("two more votes on the cause being running change",)


def test_a_refuted_cause_asks_for_another():
    release = verified_pair()
    for member in ("rut", "sol", "tam"):
        release.vote("b_cause", member, "contradicts")
    assert release.variant_standing("b").missing == ("another cause: the votes refute running change",)


def test_a_variant_whose_cause_is_not_known_lacks_a_cause():
    release = verified_pair()
    release.change_claim("b_cause", state="not_known")
    assert release.variant_standing("b").missing == ("somebody to say why it differs",)


def test_a_variant_with_one_example_lacks_an_independent_one():
    release = verified_pair()
    release.set(marks=tuple(m for m in release.facts.marks if m.example != "b2"))
    assert release.variant_standing("b").missing == (
        "one more example of wheels, from another owner and another case, shop or month",
    )


def test_a_variant_with_no_example_lacks_two():
    release = verified_pair()
    release.set(marks=tuple(m for m in release.facts.marks if m.claim != "b_wheels"))
    assert release.variant_standing("b").missing == (
        "a mark on a photo that shows wheels",
        "two independent examples of wheels",
    )


def test_differences_never_seen_together_are_asked_for_on_one_example():
    release = verified_pair()
    release.difference("b_crest", "b", "crest", "low")
    release.confirmed_by("rut", "sol", "tam", claim="b_crest")
    for number, owner in enumerate(("dora", "eik")):
        release.example(f"other{number}", owner, shop=owner)
        release.shown("b_crest", on=f"other{number}")
    assert release.variant_standing("b").missing == (
        "one of two independent examples to show crest and wheels together",
    )


def test_proposals_wait_for_a_moderator():
    release = verified_pair()
    release.set(release_accepted=False)
    release.change_claim("b_wheels", accepted=False)
    assert release.variant_standing("b").missing == (
        "a moderator to accept the proposed release",
        "a moderator to accept the proposed wheels: gold",
    )


def test_a_variant_no_confirmed_detail_tells_from_an_earlier_one_says_which():
    release = verified_pair()
    release.change_claim("b_wheels", state="black")
    assert release.variant_standing("b").missing == (
        "a detail that tells it from “The a one”, confirmed on both",
    )


def test_a_variant_told_apart_only_by_an_open_claim_of_the_earlier_one_says_so():
    release = verified_pair()
    release.change_claim("b_wheels", trait="crest", trait_name="Crest")
    release.claim("a_crest", "a", "crest", "high")
    assert release.variant_standing("b").missing == ("crest to be confirmed on “The a one” too",)


def test_any_confirmed_detail_may_tell_it_apart_once_it_is_confirmed_on_both():
    release = verified_pair()
    release.change_claim("b_wheels", state="black")
    release.claim("a_crest", "a", "crest", "high")
    release.claim("b_crest", "b", "crest", "low")
    told_apart = "a detail that tells it from “The a one”, confirmed on both"
    assert release.variant_standing("b").missing == (told_apart,)
    release.shown("b_crest", on="b1")
    release.confirmed_by("rut", "sol", "tam", claim="b_crest")
    assert release.variant_standing("b").missing == ("crest to be confirmed on “The a one” too",)


def test_a_variant_without_a_difference_lacks_one():
    release = verified_pair()
    release.change_claim("b_wheels", is_difference=False)
    assert release.variant_standing("b").missing == ("a detail named as the difference",)


def test_names_in_capitals_stay_in_capitals():
    release = fresh()
    release.change_claim("a_wheels", trait_name="GTIN on the base")
    assert "on GTIN on the base" in release.claim_standing("a_wheels").missing[0]


def test_an_owner_route_that_is_no_shorter_is_not_mentioned():
    release = fresh()
    release.vote("a_wheels", "rut", basis=LOOSE)
    assert release.claim_standing("a_wheels").missing[0] == "two more votes on front wheels"


@pytest.mark.parametrize("number", [1, 2, 14])
@pytest.mark.parametrize("moderator", [False, True])
@pytest.mark.parametrize("owners", [0, 1, 2])
def test_without_its_number_a_sentence_on_votes_says_the_same_whatever_the_tally(number, moderator, owners):
    about = "the cause being parallel, or so"
    sentence = wording.more_votes(number, about, moderator=moderator, owners=owners)
    assert wording.unnumbered(sentence) == f"more votes on {about}"


def test_sentences_that_tell_of_no_votes_stay_as_they_are():
    for sentence in (
        wording.a_mark("roof crest"),
        wording.a_sealed_example("wheels", or_loose=2),
        wording.one_more_example("roof crest"),
        wording.confirmed_there_too("roof crest", "Two more votes on it"),
    ):
        assert wording.unnumbered(sentence) == sentence
