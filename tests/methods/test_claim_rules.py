"""A claim is confirmed when all of its conditions hold, and by nothing less."""

import pytest

from tests.methods.small_release import LOOSE, PHOTO, SmallRelease, verified_baseline, verified_pair


def claim_with_three_votes(**claim) -> SmallRelease:
    """An otherwise empty release whose claim `a_wheels` has three confirming votes by photo, and no mark."""
    release = SmallRelease()
    release.variant("a", cause="baseline")
    release.difference("a_wheels", **claim)
    release.confirmed_by("rut", "sol", "tam", claim="a_wheels")
    return release


def standing(release: SmallRelease, claim: str = "a_wheels") -> str:
    return release.claim_standing(claim).standing


def test_three_votes_by_photo_and_a_mark_confirm_a_claim():
    claim = verified_baseline().claim_standing("a_wheels")
    assert claim.standing == "confirmed"
    assert (claim.counted, claim.examples, claim.sealed, claim.missing) == (3, 2, False, ())
    assert not claim.founding


def test_two_votes_do_not_suffice_however_sure():
    release = verified_baseline()
    release.withdraw("a_wheels", "tam")
    release.vote("a_wheels", "rut", basis=LOOSE)
    release.vote("a_wheels", "sol", basis=LOOSE)
    claim = release.claim_standing("a_wheels")
    assert claim.posterior > 0.95
    assert claim.standing == "open"


def two_owners_vote_with_their_own_examples() -> SmallRelease:
    release = SmallRelease()
    release.variant("a", cause="baseline")
    release.difference("a_wheels")
    for owner in ("dora", "eik"):
        release.example(f"{owner}s", owner, shop=owner)
        release.shown("a_wheels", on=f"{owner}s")
        release.vote("a_wheels", owner, basis=LOOSE, example=f"{owner}s")
    return release


def test_two_unlinked_owners_naming_their_own_photographed_examples_suffice():
    assert standing(two_owners_vote_with_their_own_examples()) == "confirmed"


def test_two_owners_do_not_suffice_when_they_are_linked():
    release = two_owners_vote_with_their_own_examples()
    release.link("dora", "eik")
    claim = release.claim_standing("a_wheels")
    assert (claim.standing, claim.counted) == ("open", 1)


def test_an_own_example_without_a_photo_is_only_a_vote():
    release = two_owners_vote_with_their_own_examples()
    release.example("unseen", "eik")
    release.vote("a_wheels", "eik", basis=LOOSE, example="unseen")
    assert standing(release) == "open"


def test_somebody_elses_example_is_only_a_vote():
    release = two_owners_vote_with_their_own_examples()
    release.vote("a_wheels", "eik", basis=LOOSE, example="doras")
    assert standing(release) == "open"


def test_an_own_example_counts_by_any_photo_that_shows_it():
    release = two_owners_vote_with_their_own_examples()
    release.example("eiks_other", "eik")
    release.photo("side_by_side", "eiks_other", "doras")
    release.vote("a_wheels", "eik", basis=LOOSE, example="eiks_other")
    assert standing(release) == "confirmed"


def test_a_claim_without_a_mark_stays_open():
    assert standing(claim_with_three_votes()) == "open"


def test_a_mark_on_a_photo_taken_down_shows_nothing():
    release = claim_with_three_votes()
    release.example("a1", "ada")
    release.photo("p1", "a1")
    release.mark("a_wheels", "a1", "p1")
    assert standing(release) == "confirmed"
    release.take_down("p1")
    assert standing(release) == "open"
    assert release.claim_standing("a_wheels").examples == 0


def test_a_mark_that_names_no_known_photo_or_example_shows_nothing():
    release = claim_with_three_votes()
    release.example("a1", "ada")
    release.mark("a_wheels", "a1", "no_such_photo")
    release.photo("p1", "a1")
    release.mark("a_wheels", "no_such_example", "p1")
    assert standing(release) == "open"


def test_a_cause_needs_no_mark():
    release = verified_pair()
    assert standing(release, "b_cause") == "confirmed"


def test_a_cause_that_is_not_known_cannot_be_voted():
    release = SmallRelease()
    release.variant("a", cause="not_known")
    release.confirmed_by("rut", "sol", "tam", "una", claim="a_cause")
    cause = release.claim_standing("a_cause")
    assert (cause.standing, cause.posterior, cause.counted) == ("open", 0.5, 0)


def test_three_contradicting_votes_refute_a_claim_even_without_a_mark():
    release = claim_with_three_votes()
    for member in ("rut", "sol", "tam"):
        release.vote("a_wheels", member, "contradicts")
    claim = release.claim_standing("a_wheels")
    assert claim.standing == "refuted"
    assert claim.posterior < 0.05


def test_two_contradicting_votes_refute_nothing():
    release = claim_with_three_votes()
    release.withdraw("a_wheels", "tam")
    release.vote("a_wheels", "rut", "contradicts", LOOSE)
    release.vote("a_wheels", "sol", "contradicts", LOOSE)
    assert release.claim_standing("a_wheels").posterior < 0.05
    assert standing(release) == "open"


def test_cannot_tell_is_not_counted_and_moves_nothing():
    release = claim_with_three_votes()
    before = release.claim_standing("a_wheels")
    release.vote("a_wheels", "una", "cannot_tell", LOOSE)
    assert release.claim_standing("a_wheels") == before


def test_only_reviewers_votes_count():
    release = claim_with_three_votes()
    before = release.claim_standing("a_wheels")
    release.vote("a_wheels", "newcomer", "contradicts", counts=False)
    assert release.claim_standing("a_wheels") == before


def test_the_author_and_the_photo_owners_of_a_submission_are_not_heard():
    release = claim_with_three_votes(author="rut", barred=frozenset({"rut", "sol"}))
    assert release.claim_standing("a_wheels").counted == 1


def test_a_barred_member_is_heard_with_an_own_example():
    release = claim_with_three_votes(barred=frozenset({"rut"}))
    release.example("found_later", "rut")
    release.vote("a_wheels", "rut", basis=LOOSE, example="found_later")
    assert release.claim_standing("a_wheels").counted == 3


def test_a_barred_member_is_not_heard_with_somebody_elses_example():
    release = claim_with_three_votes(barred=frozenset({"rut"}))
    release.example("not_his", "ada")
    release.vote("a_wheels", "rut", basis=LOOSE, example="not_his")
    assert release.claim_standing("a_wheels").counted == 2


def test_linked_members_who_agree_count_once_with_their_best_basis():
    release = SmallRelease()
    release.difference("a_wheels")
    release.link("rut", "sol")
    release.vote("a_wheels", "rut", basis=PHOTO)
    release.vote("a_wheels", "sol", basis=LOOSE)
    claim = release.claim_standing("a_wheels")
    assert claim.counted == 1
    assert claim.posterior == pytest.approx(0.85)


def test_linked_members_who_disagree_say_nothing_together():
    release = SmallRelease()
    release.difference("a_wheels")
    release.link("rut", "sol")
    release.vote("a_wheels", "rut", "confirms")
    release.vote("a_wheels", "sol", "contradicts")
    claim = release.claim_standing("a_wheels")
    assert (claim.counted, claim.posterior) == (0, 0.5)


def test_links_chain():
    release = claim_with_three_votes()
    release.link("rut", "sol")
    release.link("tam", "sol")
    assert release.claim_standing("a_wheels").counted == 1


def test_a_linked_members_cannot_tell_silences_nobody():
    release = claim_with_three_votes()
    release.link("rut", "una")
    release.vote("a_wheels", "una", "cannot_tell")
    assert release.claim_standing("a_wheels").counted == 3


def test_a_closed_claim_keeps_the_standing_of_its_own_votes():
    release = verified_baseline()
    release.change_claim("a_wheels", is_open=False)
    claim = release.claim_standing("a_wheels")
    assert (claim.standing, claim.missing) == ("confirmed", ())
