"""T04: a rush of votes on one claim locks it for accounts younger than the rush, and nothing else."""

from datetime import timedelta

import pytest

from registry import actions
from registry.methods.guards import SURGE_LOCK, SURGE_VOTES
from registry.models import Concern, JournalEntry, SurgeLock, Vote
from tests.actions.yard import Yard, as_stored, by_journal
from tests.factories import NOON, MemberFactory, ReviewerFactory, VoteFactory
from tests.path import Scene, claim_on

pytestmark = pytest.mark.django_db
RUSH = NOON + timedelta(days=3)


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def variant(scene):
    variant = scene.report(scene.anchor, scene.red)
    scene.show(variant)
    return variant


def cast(claim, by, at):
    return actions.cast_vote(claim=claim, by=by, at=at, verdict="confirms", basis="photo")


def rush(claim, count=SURGE_VOTES):
    """Votes of new members within five minutes, the last one through the action."""
    for n in range(count - 1):
        VoteFactory(
            claim=claim, by=MemberFactory(joined_at=RUSH), counts=False, at=RUSH + timedelta(seconds=n)
        )
    return cast(claim, MemberFactory(joined_at=RUSH), RUSH + timedelta(minutes=5))


def test_T04_two_hundred_fresh_votes_in_five_minutes_lock_the_claim_and_change_nothing(scene, variant):
    claim, other = claim_on(variant, scene.crest), claim_on(variant, scene.stripe)
    rush(claim, 200)
    claim.refresh_from_db()
    assert (claim.standing, claim.votes_counted, claim.votes.count()) == ("open", 0, 200)
    lock = SurgeLock.objects.get()
    assert (lock.claim, lock.began_at) == (claim, RUSH)
    concern = Concern.objects.get()
    assert (concern.kind, concern.claim, concern.members.count()) == ("surge", claim, 200)
    young = ReviewerFactory(joined_at=RUSH + timedelta(minutes=1))
    at = RUSH + timedelta(hours=1)
    assert cast(claim, young, at).counts is False
    assert cast(claim, scene.reviewers[0], at).counts is True
    assert cast(other, young, at).counts is True


def test_T04_the_lock_ends_after_two_days(scene, variant):
    claim = claim_on(variant, scene.crest)
    rush(claim)
    lock, young = SurgeLock.objects.get(), ReviewerFactory(joined_at=RUSH + timedelta(minutes=1))
    assert lock.locked_until == RUSH + timedelta(minutes=5) + SURGE_LOCK
    assert cast(claim, young, lock.locked_until - timedelta(seconds=1)).counts is False
    assert cast(claim, young, lock.locked_until).counts is True


def test_T04_one_vote_less_is_no_surge_and_a_second_rush_under_the_lock_is_not_told_twice(scene, variant):
    claim = claim_on(variant, scene.crest)
    rush(claim, SURGE_VOTES - 1)
    assert not SurgeLock.objects.exists()
    for minutes in (6, 7):
        cast(claim, MemberFactory(joined_at=RUSH), RUSH + timedelta(minutes=minutes))
    assert SurgeLock.objects.count() == Concern.objects.count() == 1


def test_T04_votes_of_young_reviewers_in_the_rush_itself_count_no_longer_and_the_replay_agrees():
    yard = Yard()
    claim = claim_on(yard.report(yard.gull_states[0]), yard.crest)
    young = MemberFactory(joined_at=RUSH + timedelta(seconds=30))
    yard.moderate("grant_role", member=young, role="reviewer")
    crowd = [MemberFactory(joined_at=RUSH) for _ in range(SURGE_VOTES - 1)]
    cast(claim, crowd[0], RUSH)
    assert cast(claim, young, RUSH + timedelta(seconds=40)).counts is True
    for n, member in enumerate(crowd[1:]):
        cast(claim, member, RUSH + timedelta(seconds=60 + n))
    assert Vote.objects.get(by=young).counts is False
    line = JournalEntry.objects.get(verb="surge.locked")
    assert line.detail["discounted"] == [[claim.public_id, young.public_id]]
    claim.refresh_from_db()
    assert claim.votes_counted == 0
    assert by_journal(yard.release) == as_stored(yard.release)


def test_T04_a_rush_on_one_side_of_a_dispute_locks_both(scene, variant):
    claim = claim_on(variant, scene.crest)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, reason="A gull.", by=MemberFactory(), at=RUSH - timedelta(days=1)
    )
    rush(dispute.rival)
    young = ReviewerFactory(joined_at=RUSH + timedelta(minutes=1))
    assert cast(claim, young, RUSH + timedelta(hours=1)).counts is False
