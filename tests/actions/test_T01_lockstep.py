"""T01: votes of new accounts are kept and do not count; votes in lockstep are put before a moderator, no more."""

import random
from datetime import timedelta

import pytest

from registry import actions
from registry.errors import AlreadyClosed, InvalidField
from registry.models import Claim, Concern, JournalEntry, Vote
from tests.actions.watching import journal_lines, refused
from tests.factories import ClaimFactory, ConcernFactory, MemberFactory, ModeratorFactory, VoteFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


def test_T01_fifty_new_accounts_confirm_a_false_trait_and_it_stays_open():
    scene = Scene()
    variant = scene.report(scene.anchor)
    scene.show(variant)
    claim = claim_on(variant, scene.crest)
    before = claim.posterior
    for _ in range(50):
        actions.cast_vote(claim=claim, by=MemberFactory(), at=now(), verdict="confirms", basis="photo")
    claim.refresh_from_db()
    assert (claim.standing, claim.posterior, claim.votes_counted) == ("open", before, 0)
    assert Vote.objects.filter(claim=claim, counts=False).count() == 50


def vote_all(members, claims, minutes, at):
    draw = random.Random(6)
    return [
        VoteFactory(by=by, claim=claim, counts=False, at=at - timedelta(minutes=draw.uniform(0, minutes)))
        for by in members
        for claim in claims
    ]


@pytest.fixture
def claims():
    first = ClaimFactory()
    return [first, *(ClaimFactory(variant=first.variant) for _ in range(14))]


def members(count):
    return [MemberFactory() for _ in range(count)]


def test_T01_twenty_accounts_in_lockstep_are_one_concern_noted_once(claims):
    ring, at = members(20), now()
    vote_all(ring, claims, 10, at)
    with journal_lines() as lines:
        (concern,) = actions.look_for_lockstep(at=at)
    assert [(line.verb, line.by) for line in lines] == [("concern.opened", None)]
    assert set(concern.members.all()) == set(ring)
    assert set(concern.evidence["claims"]) == {claim.public_id for claim in claims}
    assert actions.look_for_lockstep(at=at) == []
    assert all(member.is_active for member in concern.members.all())
    assert Vote.objects.current().count() == 300


def test_T01_twenty_honest_random_voters_are_no_concern(claims):
    vote_all(members(20), claims, 30 * 24 * 60, now())
    assert actions.look_for_lockstep(at=now()) == []
    assert not Concern.objects.exists()


def test_T01_what_was_closed_is_not_opened_again_on_the_same_votes_but_on_new_ones(claims):
    ring, at = members(20), now()
    vote_all(ring, claims, 10, at)
    (concern,) = actions.look_for_lockstep(at=at)
    actions.close_concern(
        concern=concern, outcome="unfounded", reason="A school club.", by=ModeratorFactory(), at=now()
    )
    assert actions.look_for_lockstep(at=at) == []
    vote_all(ring, [ClaimFactory()], 10, at)
    assert len(actions.look_for_lockstep(at=at)) == 1


def test_T03_one_address_is_a_weak_sign_that_counts_only_with_lockstep(claims):
    pair, at = members(2), now()
    vote_all(pair, claims[:5], 5, at)
    vote_all(members(30), claims, 30 * 24 * 60, at)
    assert actions.look_for_lockstep(at=at) == []
    for member in pair:
        actions.note_address(member=member, address="8.8.4.4", at=at)
    (concern,) = actions.look_for_lockstep(at=at)
    assert set(concern.members.all()) == set(pair)
    assert concern.evidence["one_address"] is True
    assert "8.8.4" not in str(concern.evidence) + str(list(JournalEntry.objects.values_list("detail")))


def test_a_concern_is_closed_once_with_what_was_found():
    concern, by = ConcernFactory(), ModeratorFactory()
    with refused(InvalidField, field="outcome"):
        actions.close_concern(concern=concern, outcome="open", reason="Hm.", by=by, at=now())
    actions.close_concern(concern=concern, outcome="acted_on", reason="Two suspended.", by=by, at=now())
    concern.refresh_from_db()
    assert (concern.outcome, concern.closed_by, concern.reason) == ("acted_on", by, "Two suspended.")
    with refused(AlreadyClosed):
        actions.close_concern(concern=concern, outcome="unfounded", reason="No.", by=by, at=now())


def test_no_claim_is_touched_by_a_concern(claims):
    vote_all(members(20), claims, 10, now())
    before = list(Claim.objects.order_by("pk").values_list())
    actions.look_for_lockstep(at=now())
    assert list(Claim.objects.order_by("pk").values_list()) == before
