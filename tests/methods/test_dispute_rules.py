"""Votes across a claim and its rival; when a dispute contests; how it is due to end."""

import pytest

from registry.methods.policy import FIRST_POLICY
from registry.methods.standing import decide
from tests.methods.small_release import LOOSE, SmallRelease, verified_baseline


def disputed(photo: bool = False) -> SmallRelease:
    """`verified_baseline`, its claim disputed: gold wheels, says the objector."""
    release = verified_baseline()
    release.dispute("a_wheels", photo=photo)
    return release


def dispute_of(release: SmallRelease):
    return release.decide().disputes["d_a_wheels"]


def test_a_dispute_without_a_photo_contests_nothing():
    release = disputed()
    assert not dispute_of(release).contests
    assert release.claim_standing("a_wheels").standing == "confirmed"


def test_a_dispute_with_a_photo_contests_the_claim():
    release = disputed(photo=True)
    assert dispute_of(release).contests
    assert release.claim_standing("a_wheels").standing == "disputed"


def test_a_second_reviewer_who_confirms_the_rival_makes_the_dispute_contest():
    release = disputed()
    release.vote("r_a_wheels", "una")
    assert dispute_of(release).contests
    assert release.claim_standing("a_wheels").standing == "disputed"


def test_the_second_reviewer_may_leave_again():
    release = disputed()
    release.vote("r_a_wheels", "una")
    release.withdraw("r_a_wheels", "una")
    assert not dispute_of(release).contests


@pytest.mark.parametrize("verdict", ["contradicts", "cannot_tell"])
def test_a_reviewer_who_does_not_confirm_the_rival_joins_nobody(verdict):
    release = disputed()
    release.vote("r_a_wheels", "una", verdict)
    assert not dispute_of(release).contests


def test_the_opener_cannot_join_themselves():
    release = disputed()
    release.change_claim("r_a_wheels", barred=frozenset())
    release.vote("r_a_wheels", "objector")
    assert not dispute_of(release).contests


def test_a_member_linked_to_the_opener_does_not_join():
    release = disputed()
    release.link("una", "objector")
    release.vote("r_a_wheels", "una")
    assert not dispute_of(release).contests


def test_a_member_who_is_no_reviewer_does_not_join():
    release = disputed()
    release.vote("r_a_wheels", "newcomer", counts=False)
    assert not dispute_of(release).contests


def test_a_closed_dispute_contests_nothing():
    release = disputed(photo=True)
    release.change_dispute("d_a_wheels", is_open=False)
    release.change_claim("r_a_wheels", is_open=False)
    assert dispute_of(release) == type(dispute_of(release))(contests=False, due=None)
    assert release.claim_standing("a_wheels").standing == "confirmed"


def test_confirming_the_rival_counts_as_contradicting_the_claim():
    release = disputed()
    before = release.claim_standing("a_wheels")
    release.vote("r_a_wheels", "una")
    after = release.claim_standing("a_wheels")
    assert after.counted == before.counted + 1
    assert after.posterior == pytest.approx(0.8**2 / (0.8**2 + 0.2**2))  # three for, one against


def test_confirming_the_claim_counts_as_contradicting_the_rival():
    assert disputed().claim_standing("r_a_wheels").posterior == pytest.approx(0.2**3 / (0.2**3 + 0.8**3))


def test_contradicting_one_side_does_not_confirm_the_other():
    release = disputed()
    rival = release.claim_standing("r_a_wheels")
    release.vote("a_wheels", "una", "contradicts")
    assert release.claim_standing("r_a_wheels") == rival


def test_a_reviewer_who_changes_sides_is_heard_once_by_the_later_vote():
    release = disputed()
    release.vote("r_a_wheels", "rut")
    claim, rival = release.claim_standing("a_wheels"), release.claim_standing("r_a_wheels")
    assert claim.counted == rival.counted == 3
    assert claim.posterior == pytest.approx(0.8)  # sol and tam for, rut against
    assert rival.posterior == pytest.approx(0.2)


def test_a_later_vote_on_the_claim_itself_prevails_over_one_on_its_rival():
    release = disputed()
    release.vote("r_a_wheels", "una")
    release.vote("a_wheels", "una")
    assert release.claim_standing("a_wheels").posterior == pytest.approx(0.8**4 / (0.8**4 + 0.2**4))


def test_a_later_cannot_tell_on_the_claim_does_not_unsay_a_vote_for_its_rival():
    release = disputed()
    release.vote("r_a_wheels", "una")
    before = release.claim_standing("a_wheels")
    release.vote("a_wheels", "una", "cannot_tell")
    assert release.claim_standing("a_wheels") == before


def test_who_may_not_vote_on_the_claim_is_not_heard_there_through_its_rival():
    release = disputed()
    release.change_claim("a_wheels", barred=frozenset({"una"}))
    before = release.claim_standing("a_wheels").posterior
    release.vote("r_a_wheels", "una")
    assert release.claim_standing("a_wheels").posterior == before


def test_who_may_not_vote_on_the_rival_is_not_heard_on_the_claim_through_it():
    release = disputed()
    before = release.claim_standing("a_wheels").posterior
    release.vote("r_a_wheels", "objector")
    assert release.claim_standing("a_wheels").posterior == before


def rival_with_votes() -> SmallRelease:
    release = disputed(photo=True)
    for member in ("rut", "sol", "tam"):
        release.vote("r_a_wheels", member)
    return release


def test_a_dispute_is_due_corrected_once_its_rival_meets_every_condition():
    release = rival_with_votes()
    assert dispute_of(release).due is None  # no mark shows the rival yet
    release.shown("r_a_wheels", on="a1")
    assert release.claim_standing("r_a_wheels").standing == "confirmed"
    assert dispute_of(release).due == "corrected"


def test_the_votes_that_had_confirmed_the_claim_do_not_end_its_dispute_at_once():
    release = disputed(photo=True)
    assert release.claim_standing("r_a_wheels").posterior < 0.05
    assert release.claim_standing("r_a_wheels").standing == "open"
    assert dispute_of(release).due is None


@pytest.mark.parametrize(("claim", "verdict"), [("a_wheels", "confirms"), ("r_a_wheels", "contradicts")])
def test_a_dispute_is_due_upheld_once_three_have_judged_anew_against_its_rival(claim, verdict):
    release = disputed(photo=True)
    release.vote(claim, "rut", verdict)
    release.vote(claim, "sol", verdict)
    assert dispute_of(release).due is None
    release.vote(claim, "tam", verdict)
    assert release.claim_standing("r_a_wheels").standing == "refuted"
    assert dispute_of(release).due == "upheld"


def test_a_moderator_may_rule_the_claim_upheld():
    release = disputed(photo=True)
    assert dispute_of(release).due is None
    release.change_dispute("d_a_wheels", ruling="upheld")
    assert dispute_of(release).due == "upheld"


def test_a_ruling_does_not_prevail_over_a_rival_that_meets_every_condition():
    release = rival_with_votes()
    release.shown("r_a_wheels", on="a1")
    release.change_dispute("d_a_wheels", ruling="upheld")
    assert dispute_of(release).due == "corrected"


def corrected() -> SmallRelease:
    release = rival_with_votes()
    release.shown("r_a_wheels", on="a1")
    release.shown("r_a_wheels", on="a2")
    release.change_dispute("d_a_wheels", is_open=False)
    release.change_claim("a_wheels", is_open=False)
    release.change_claim("r_a_wheels", is_difference=True)
    return release


def test_after_a_correction_the_rival_is_the_variants_own_claim():
    release = corrected()
    assert release.claim_standing("r_a_wheels").standing == "confirmed"
    assert release.variant_standing("a").standing == "verified"


def test_after_a_correction_the_old_claims_votes_still_speak_against_the_new_one():
    release = corrected()
    before = release.claim_standing("r_a_wheels")
    release.vote("a_wheels", "una")
    after = release.claim_standing("r_a_wheels")
    assert after.counted == before.counted + 1
    assert after.posterior < before.posterior


def test_a_rival_that_lost_plays_no_part_in_the_variant():
    release = disputed(photo=True)
    release.change_dispute("d_a_wheels", is_open=False)
    release.change_claim("r_a_wheels", is_open=False, is_difference=True)
    assert release.variant_standing("a").standing == "verified"


def test_a_dispute_of_a_claim_that_is_not_there_is_refused():
    release = disputed()
    release.set(claims=tuple(c for c in release.facts.claims if c.id != "r_a_wheels"))
    with pytest.raises(ValueError, match="d_a_wheels names a claim"):
        decide(release.facts, FIRST_POLICY)


def test_an_own_example_counts_for_a_contradiction_through_the_rival_too():
    release = SmallRelease()
    release.difference("a_wheels")
    release.dispute("a_wheels", photo=True)
    for owner in ("dora", "eik"):
        release.example(owner + "s", owner)
        release.photo("p_" + owner, owner + "s")
        release.vote("r_a_wheels", owner, basis=LOOSE, example=owner + "s")
    assert release.decide().claims["a_wheels"].posterior < 0.05
    release.change_dispute("d_a_wheels", is_open=False)
    assert release.claim_standing("a_wheels").standing == "refuted"
