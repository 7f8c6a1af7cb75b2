"""T03: declared links and interests; a shared address alone never discounts anything."""

from datetime import timedelta

import pytest

from registry import actions
from registry.errors import ConflictDeclared, InvalidField, NotFound, WrongMoment
from registry.methods.guards import ADDRESS_KEPT
from registry.models import AddressHint, JournalEntry, Vote
from tests.actions.watching import refused
from tests.actions.yard import Yard, as_stored, by_journal
from tests.factories import InterestFactory, MemberFactory, ReleaseFactory, ReviewerFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    return claim_on(scene.report(scene.anchor, scene.red), scene.crest)


def cast(claim, by, verdict="confirms"):
    return actions.cast_vote(claim=claim, by=by, at=now(), verdict=verdict, basis="photo")


def test_T03_two_accounts_of_one_prefix_otherwise_independent_both_count(scene, claim):
    first, second, third = scene.reviewers[:3]
    for member in (first, second):
        actions.note_address(member=member, address="8.8.4.4", at=now())
    assert all(cast(claim, member).counts for member in (first, second, third))
    claim.refresh_from_db()
    assert claim.votes_counted == 3


def test_T03_the_second_of_two_declared_as_linked_is_refused(scene, claim):
    first, second = scene.reviewers[:2]
    actions.declare_link(first=first, second=second, by=scene.moderator, at=now())
    cast(claim, first)
    with refused(ConflictDeclared, says=["count once"]):
        cast(claim, second)
    actions.withdraw_vote(claim=claim, by=first, at=now())
    assert cast(claim, second).counts


def test_T03_a_link_through_a_third_and_a_vote_on_the_other_side_of_a_dispute_are_seen_too(scene, claim):
    first, second, third = scene.reviewers[:3]
    for a, b in ((first, second), (second, third)):
        actions.declare_link(first=a, second=b, by=scene.moderator, at=now())
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, reason="A gull.", by=MemberFactory(), at=now()
    )
    cast(dispute.rival, first)
    with refused(ConflictDeclared):
        cast(claim, third)


def test_T03_who_voted_before_the_link_was_declared_may_change_their_mind_and_both_count_once(scene, claim):
    first, second = scene.reviewers[:2]
    cast(claim, first)
    cast(claim, second)
    actions.declare_link(first=first, second=second, by=scene.moderator, at=now())
    claim.refresh_from_db()
    assert claim.votes_counted == 1
    assert cast(claim, second, "contradicts").verdict == "contradicts"


@pytest.mark.parametrize("target", ["release", "casting", "line", "maker"])
def test_T03_a_vote_on_what_one_sells_is_kept_and_does_not_count(scene, claim, target):
    seller = scene.reviewers[0]
    thing = scene.release.line.maker if target == "maker" else getattr(scene.release, target, scene.release)
    actions.declare_interest(thing=thing, by=seller, at=now())
    vote = cast(claim, seller)
    assert (vote.counts, vote.is_current) == (False, True)
    claim.refresh_from_db()
    assert claim.votes_counted == 0


def test_T03_an_interest_in_another_release_changes_nothing(scene, claim):
    actions.declare_interest(thing=ReleaseFactory(), by=scene.reviewers[0], at=now())
    assert cast(claim, scene.reviewers[0]).counts


def test_T03_declaring_it_discounts_the_votes_cast_before(scene, claim):
    seller, other = scene.reviewers[:2]
    cast(claim, seller)
    cast(claim, other)
    interest = actions.declare_interest(thing=scene.release, by=seller, at=now())
    claim.refresh_from_db()
    assert claim.votes_counted == 1
    line = JournalEntry.objects.get(verb="interest.declared")
    assert line.detail["discounted"] == [[claim.public_id, seller.public_id]]
    actions.end_interest(interest=interest, by=seller, at=now())
    assert Vote.objects.get(by=seller).counts is False
    assert cast(claim, seller).counts is True


def test_T03_a_replay_of_the_journal_knows_of_the_interest():
    yard = Yard()
    variant = yard.report(yard.gull_states[0])
    claim = claim_on(variant, yard.crest)
    for reviewer in yard.reviewers[:2]:
        cast(claim, reviewer)
    actions.declare_interest(thing=yard.line, by=yard.reviewers[0], at=now())
    claim.refresh_from_db()
    assert claim.votes_counted == 1
    assert by_journal(yard.release) == as_stored(yard.release)


def test_an_interest_is_declared_once_of_something_that_is_sold(scene):
    by = ReviewerFactory()
    with refused(InvalidField, field="thing"):
        actions.declare_interest(thing=scene.crest, by=by, at=now())
    interest = actions.declare_interest(thing=scene.release, by=by, at=now())
    with refused(WrongMoment, field="thing"):
        actions.declare_interest(thing=scene.release, by=by, at=now())
    actions.end_interest(interest=interest, by=by, at=now())
    with refused(NotFound):
        actions.end_interest(interest=interest, by=by, at=now())
    assert actions.declare_interest(thing=scene.release, by=by, at=now()).pk != interest.pk
    anothers = InterestFactory()
    with refused(NotFound):
        actions.end_interest(interest=anothers, by=by, at=now())


def test_T03_addresses_are_kept_as_digests_for_thirty_days_and_not_in_the_journal():
    member, lines = MemberFactory(), JournalEntry.objects.count()
    for address in ("8.8.4.4", "8.8.4.9", "10.0.0.1", "nonsense"):
        actions.note_address(member=member, address=address, at=now())
    hint = AddressHint.objects.get()
    assert "8.8" not in hint.digest
    assert JournalEntry.objects.count() == lines
    assert actions.forget_addresses(before=hint.seen_at) == 0
    assert actions.forget_addresses(before=hint.seen_at + ADDRESS_KEPT + timedelta(days=1)) == 1
    assert not AddressHint.objects.exists()
