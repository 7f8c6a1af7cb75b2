"""Disputes: how they open, when they contest, and the ways in which they end."""

import pytest

from registry import actions
from registry.errors import AlreadyClosed, IdentityMoved, InvalidField, NotPermitted, WrongMoment
from registry.models import Claim, Dispute, Outcome, Revision, State, Trait, Variant
from tests.factories import MemberFactory, StateFactory
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def variant(scene):
    return scene.baseline()


def dispute(claim, state, by=None, reason="I see another."):
    return actions.open_dispute(claim=claim, state=state, by=by or MemberFactory(), reason=reason, at=now())


def standing(variant):
    return Variant.objects.get(pk=variant.pk).standing


def cause_state(key):
    return State.objects.get(trait__key="cause", trait__line=None, key=key)


def test_it_opens_a_rival_claim_that_is_no_part_of_the_record(scene, variant):
    claim = claim_on(variant, scene.crest)
    rival = dispute(claim, scene.gull).rival
    assert (rival.state, rival.predecessor, rival.is_rival) == (scene.gull, claim, True)
    assert rival.is_difference
    assert rival.public_id not in Variant.objects.get(pk=variant.pk).record
    assert Revision.objects.filter(variant=variant).count() == 1


def test_nobody_contests_the_list_alone(scene, variant):
    claim = claim_on(variant, scene.crest)
    dispute(claim, scene.gull, by=scene.reviewers[5])
    assert (standing(variant), Claim.objects.get(pk=claim.pk).standing) == ("verified", "confirmed")


def test_a_photo_makes_it_contest(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull)
    scene.photo(scene.example(owner=opened.opened_by), dispute=opened)
    actions.settle_release(release=scene.release, at=now())
    opened.refresh_from_db()
    assert (opened.contests, standing(variant)) == (True, "contested")


def test_a_second_reviewer_makes_it_contest_and_leaving_again_ends_that(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull, by=scene.reviewers[5])
    said = {"claim": opened.rival, "by": scene.reviewers[4]}
    actions.cast_vote(**said, at=now(), verdict="confirms", basis="photo")
    assert standing(variant) == "contested"
    actions.withdraw_vote(**said, at=now())
    assert standing(variant) == "verified"


def test_a_second_member_who_is_no_reviewer_does_not(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull)
    actions.cast_vote(claim=opened.rival, by=MemberFactory(), at=now(), verdict="confirms", basis="photo")
    assert standing(variant) == "verified"


def test_votes_that_refute_the_rival_uphold_the_claim(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull, by=scene.reviewers[5])
    scene.vote(opened.rival, verdict="contradicts", voters=3)
    opened.refresh_from_db()
    assert (opened.outcome, opened.closed_by, opened.rival.is_open) == (Outcome.UPHELD, None, False)
    assert standing(variant) == "verified"


def test_a_corrected_claim_closes_and_its_rival_takes_its_place_in_a_new_revision(scene, variant):
    claim, other = claim_on(variant, scene.crest), claim_on(variant, scene.stripe)
    opened = dispute(claim, scene.gull)
    for _ in range(2):
        example = scene.example()
        scene.mark(opened.rival, scene.photo(example), example)
    scene.vote(opened.rival, voters=5)
    opened.refresh_from_db()
    claim.refresh_from_db()
    assert (opened.outcome, claim.is_open) == (Outcome.CORRECTED, False)
    now_open = claim_on(variant, scene.crest)
    assert (now_open.pk, now_open.since_revision, now_open.is_rival) == (opened.rival_id, 2, False)
    revision = Revision.objects.get(variant=variant, number=2)
    assert (revision.author, revision.parent.number) == (opened.opened_by, 1)
    assert "from anchor to gull" in revision.reason
    assert claim_on(variant, scene.stripe) == other


def test_a_moderator_upholds_with_a_reason(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull)
    actions.close_dispute(dispute=opened, by=scene.moderator, reason="It is of another casting.", at=now())
    opened.refresh_from_db()
    assert (opened.outcome, opened.closed_by) == (Outcome.UPHELD, scene.moderator)
    assert opened.closing_reason == "It is of another casting."
    assert not opened.rival.is_open


def test_a_withdrawn_dispute_leaves_the_claim_to_its_votes(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull)
    actions.withdraw_dispute(dispute=opened, by=opened.opened_by, at=now())
    opened.refresh_from_db()
    assert (opened.outcome, opened.contests) == (Outcome.WITHDRAWN, False)
    assert standing(variant) == "verified"


def test_only_its_opener_withdraws_it(scene, variant):
    opened = dispute(claim_on(variant, scene.crest), scene.gull)
    with refused(NotPermitted, says=["moderator"]):
        actions.withdraw_dispute(dispute=opened, by=scene.moderator, at=now())


@pytest.mark.parametrize("action", ["withdraw_dispute", "close_dispute"])
def test_what_has_ended_does_not_end_again(scene, variant, action):
    opened = dispute(claim_on(variant, scene.crest), scene.gull, by=scene.moderator)
    actions.withdraw_dispute(dispute=opened, by=scene.moderator, at=now())
    said = {"reason": "Once more."} if action == "close_dispute" else {}
    with refused(AlreadyClosed, says=["withdrawn"]):
        getattr(actions, action)(dispute=opened, by=scene.moderator, at=now(), **said)


def test_a_closed_claim_is_not_disputed(scene, variant):
    claim, by = claim_on(variant, scene.crest), MemberFactory()
    Claim.objects.filter(pk=claim.pk).update(closed_at=now())
    with refused(AlreadyClosed):
        dispute(claim, scene.gull, by=by)


def test_one_claim_has_one_open_dispute(scene, variant):
    claim, by = claim_on(variant, scene.crest), MemberFactory()
    first = dispute(claim, scene.gull)
    with refused(WrongMoment, says=[first.shown_id]) as caught:
        dispute(claim, scene.gull, by=by)
    assert caught.value.extra == {"dispute": first.public_id}


def test_a_rival_is_not_disputed_in_turn(scene, variant):
    opened, by = dispute(claim_on(variant, scene.crest), scene.gull), MemberFactory()
    with refused(InvalidField, field="claim", says=["Vote on it"]):
        dispute(opened.rival, scene.anchor, by=by)


def test_a_claim_of_a_variant_that_is_gone_is_not_disputed(scene, variant):
    Variant.objects.filter(pk=variant.pk).update(standing="struck")
    claim, by = claim_on(variant, scene.crest), MemberFactory()
    with refused(IdentityMoved, field="claim"):
        dispute(claim, scene.gull, by=by)


def test_another_state_must_be_named(scene, variant):
    claim, by = claim_on(variant, scene.crest), MemberFactory()
    merged = StateFactory(trait=scene.crest, acceptance="merged", merged_into=scene.anchor)
    for state, word in (
        (None, "Roof crest"),
        (scene.blue, "blue"),
        (scene.anchor, "instead"),
        (merged, "instead"),
    ):
        with refused(InvalidField, field="state", says=[word]):
            dispute(claim, state, by=by)


def test_a_reason_must_be_given(scene, variant):
    claim, by = claim_on(variant, scene.crest), MemberFactory()
    for reason in ("", "  \n ", None, "x" * 501, "a\x07"):
        with refused(InvalidField, field="reason"):
            dispute(claim, scene.gull, by=by, reason=reason)


def test_a_dispute_is_of_exactly_one_thing(scene):
    by = MemberFactory()
    with refused(InvalidField, field="claim", says=["exactly one"]):
        actions.open_dispute(by=by, at=now(), reason="I see another.")


def test_the_cause_of_the_first_variant_is_open_to_dispute(scene, variant):
    cause = Claim.objects.open().get(variant=variant, trait__key="cause")
    opened = dispute(cause, cause_state("altered"))
    scene.vote(opened.rival, voters=5)
    assert standing(variant) == "set_apart"
    again = Claim.objects.open().get(variant=variant, trait__key="cause")
    back = dispute(again, cause_state("baseline"), by=scene.moderator)
    assert back.rival.state.key == "baseline"


def test_no_other_variant_becomes_the_baseline(scene, variant):
    second = scene.report(scene.gull, base=variant, cause="parallel")
    cause, by = Claim.objects.open().get(variant=second, trait__key="cause"), MemberFactory()
    with refused(InvalidField, field="state", says=["first variant"]):
        dispute(cause, cause_state("baseline"), by=by)


def test_a_dispute_of_a_statement_opens_no_rival(scene, variant):
    other = scene.report(scene.gull, base=variant)
    statement = actions.make_statement(
        by=scene.author, at=now(), release=scene.release, kind="before", variant=variant, other=other,
        source_kind="dated_sighting", source="a receipt",
    )  # fmt: skip
    opened = actions.open_dispute(by=MemberFactory(), at=now(), reason="No.", statement=statement)
    assert (opened.rival, opened.claim, Dispute.objects.open().count()) == (None, None, 1)
    actions.close_dispute(dispute=opened, by=scene.moderator, reason="The receipt is plain.", at=now())
    assert Dispute.objects.open().count() == 0


def test_the_cause_has_no_state_that_cannot_be_voted_on():
    keys = set(Trait.objects.get(key="cause", line=None).states.values_list("key", flat=True))
    assert "not_known" not in keys
    assert {"baseline", "running_change", "parallel", "factory_error", "altered"} <= keys
