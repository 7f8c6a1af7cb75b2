"""T06: one question of twenty has a known answer; it looks like any other and counts as no vote."""

from datetime import timedelta

import pytest

from registry import actions
from registry.errors import NotFound
from registry.methods.guards import CONTROL_SETTLED_FOR
from registry.models import ControlAnswer, JournalEntry, Vote
from registry.queries import controls
from tests.actions.watching import refused
from tests.factories import MemberFactory, ReviewerFactory, VoteFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db
LONG_AFTER = CONTROL_SETTLED_FOR + timedelta(days=1)


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def dispute(scene):
    """A claim that said anchor, corrected to gull by votes, both pictured."""
    variant = scene.report(scene.anchor, scene.red)
    example = scene.show(variant)
    opened = actions.open_dispute(
        claim=claim_on(variant, scene.crest), state=scene.gull, reason="A gull.", by=MemberFactory(), at=now()
    )
    photo = scene.photo(example, dispute=opened)
    scene.mark(opened.rival, photo, example)
    scene.vote(opened.rival)
    opened.refresh_from_db()
    assert opened.outcome == "corrected"
    return opened


def later():
    return now() + LONG_AFTER


def test_T06_both_sides_of_a_dispute_settled_long_ago_have_a_known_answer(scene, dispute):
    known = controls.known(later())
    assert {claim: controls.truth_of(claim) for claim in known} == {dispute.claim: False, dispute.rival: True}
    assert not controls.known(now()).exists()


def test_T06_nobody_is_asked_what_they_brought_in_or_voted_on(scene, dispute):
    at = later()
    for member in (scene.author, dispute.opened_by, scene.reviewers[0]):
        assert not controls.for_member(member, at).exists()
    assert controls.for_member(scene.reviewers[5], at).count() == 2


def test_T06_an_answer_is_kept_once_beside_the_truth_and_moves_nothing(scene, dispute):
    by, at = scene.reviewers[5], later()
    votes, standing = Vote.objects.count(), dispute.rival.standing
    answer = actions.answer_control(claim=dispute.claim, verdict="confirms", basis="photo", by=by, at=at)
    assert (answer.verdict, answer.truth) == ("confirms", False)
    assert Vote.objects.count() == votes
    dispute.rival.refresh_from_db()
    assert dispute.rival.standing in (standing, "confirmed")
    assert JournalEntry.objects.get(verb="control.answered").detail == {}
    with refused(NotFound):
        actions.answer_control(claim=dispute.claim, verdict="confirms", basis="photo", by=by, at=at)


def test_T06_what_the_fit_is_told(scene, dispute):
    by, at = scene.reviewers[5], later()
    actions.answer_control(claim=dispute.claim, verdict="confirms", basis="photo", by=by, at=at)
    actions.answer_control(claim=dispute.rival, verdict="cannot_tell", basis="photo", by=by, at=at)
    other = ReviewerFactory()
    actions.answer_control(claim=dispute.rival, verdict="confirms", basis="own_loose", by=other, at=at)
    assert list(controls.answers()) == [
        (dispute.claim.public_id, by.pk, "print", False, True, False),
        (dispute.rival.public_id, other.pk, "print", True, True, True),
    ]


def test_T06_one_turn_in_each_twenty_is_a_question_with_a_known_answer(scene, dispute):
    member, at, turns = ReviewerFactory(), later(), []
    for n in range(40):
        asked = controls.next_control(member, at)
        if asked is None:
            VoteFactory(by=member)
        else:
            turns.append(n)
            actions.answer_control(claim=asked, verdict="confirms", basis="photo", by=member, at=at)
    assert [turn // 20 for turn in turns] == [0, 1]
    assert ControlAnswer.objects.filter(member=member).count() == 2


def test_T06_where_nothing_was_settled_long_ago_nobody_is_asked(scene):
    member = ReviewerFactory()
    for _ in range(20):
        assert controls.next_control(member, now()) is None
        VoteFactory(by=member)


def test_T06_without_a_mark_on_a_photograph_nobody_could_judge(scene, dispute):
    dispute.claim.marks.update(removed_at=now())
    assert list(controls.known(later())) == [dispute.rival]
