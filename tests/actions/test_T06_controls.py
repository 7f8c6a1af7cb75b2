"""T06: one question of twenty has a known answer; it looks like any other and counts as no vote."""

from datetime import timedelta
from math import log

import pytest

from registry import actions
from registry.errors import NotFound
from registry.methods.guards import CONTROL_SETTLED_FOR
from registry.methods.policy import FIRST_POLICY
from registry.models import ControlAnswer, FitRate, JournalEntry, Vote
from registry.queries import controls
from registry.queries.ballots import gather_ballots
from registry.queries.facts import release_facts
from registry.queries.fits import current_fit_number, reliabilities_of
from registry.queries.why import explained
from tests.actions.watching import refused
from tests.factories import MemberFactory, ReviewerFactory, TraitFactory, VoteFactory, states_of
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


@pytest.fixture
def untrue(scene):
    """Three printed details that were said falsely and corrected long ago, pictured; the release's claims."""
    badge = TraitFactory(line=scene.release.line, key="badge", name="Badge", adopted_by=scene.release)
    seal, otter = states_of(badge, "seal", "otter")
    variant = scene.report(scene.anchor, scene.red, seal)
    example = scene.show(variant)
    told = {scene.crest: scene.gull, scene.stripe: scene.blue, badge: otter}
    claims = [claim_on(variant, trait) for trait in told]
    for claim, state in zip(claims, told.values(), strict=True):
        opened = actions.open_dispute(claim=claim, state=state, reason="No.", by=MemberFactory(), at=now())
        photo = scene.photo(example, dispute=opened)
        scene.mark(opened.rival, photo, example)
        scene.vote(opened.rival)
    return claims


def weight_of_a_confirmation(scene, reviewer):
    """What it adds to the natural log-odds of a claim on a print, by photo, under the fit in force."""
    facts = release_facts(scene.release, current_fit_number())
    rates = reliabilities_of(facts).rates(reviewer.public_id, "print", False, FIRST_POLICY)
    return log(rates.sensitivity / (1 - rates.specificity))


def learn_and_adopt():
    actions.adopt_fit(fit=actions.make_fit(at=now()), reason="Learnt anew.", at=now())
    actions.settle_under_new_fit(at=now())


def test_T06_who_confirms_everything_weighs_next_to_nothing_after_three_failed_controls(scene, untrue):
    stamp, honest = scene.reviewers[4:]
    variant = scene.report(scene.red, base=untrue[0].variant)
    claim = claim_on(variant, scene.stripe)
    for reviewer in (stamp, honest):
        actions.cast_vote(claim=claim, verdict="confirms", basis="photo", by=reviewer, at=now())
    learn_and_adopt()
    before = weight_of_a_confirmation(scene, stamp)
    for asked in untrue:
        said = {"claim": asked, "basis": "photo", "at": later()}
        actions.answer_control(verdict="confirms", by=stamp, **said)
        actions.answer_control(verdict="contradicts", by=honest, **said)
    learn_and_adopt()
    after = weight_of_a_confirmation(scene, stamp)
    assert before > 1.2
    assert 0 <= after < 0.1
    assert weight_of_a_confirmation(scene, honest) > before
    told = explained(claim.public_id, stamp)
    assert {heard.by: heard.words for _, heard in told.heard} == {
        stamp.public_id: "counts hardly for it",
        honest.public_id: "counts very strongly for it",
    }


def test_T06_answers_are_no_votes_and_nothing_is_counted_twice(scene, untrue):
    before = gather_ballots()
    reviewer, newcomer = scene.reviewers[5], MemberFactory()
    for by in (reviewer, newcomer):
        actions.answer_control(claim=untrue[0], verdict="confirms", basis="photo", by=by, at=later())
    after = gather_ballots()
    assert after.claims.tolist() == before.claims.tolist()
    assert after.seen.tolist() == before.seen.tolist()
    assert after.rulings == before.rulings
    assert after.ballots.claim.size == before.ballots.claim.size + 1  # newcomers teach nothing
    assert after.ballots.known.tolist() == [*before.ballots.known.tolist(), 0]
    fit = actions.make_fit(at=now())
    assert (fit.votes, fit.claims) == (before.seen.size, before.claims.size)
    assert FitRate.objects.filter(fit=fit, member=reviewer, kind="print", in_hand=False).exists()
