"""Votes are blind until one has voted, or the claim is decided, or closed."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import Claim
from registry.queries.blind import may_see_votes
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def base(scene):
    return scene.report(scene.anchor, scene.red)


def sees(member, claim) -> bool:
    claim.refresh_from_db()
    return may_see_votes(member, [claim]) == {claim.pk}


def test_nobody_sees_the_votes_on_an_undecided_claim_moderators_included(scene, base):
    claim = claim_on(base, scene.crest)
    scene.vote(claim, voters=2)
    for reader in (None, scene.author, scene.reviewers[3], scene.moderator):
        assert not sees(reader, claim)


def test_who_has_voted_sees_them_until_the_vote_is_taken_back(scene, base):
    claim, member = claim_on(base, scene.crest), scene.reviewers[0]
    scene.vote(claim, voters=1)
    assert sees(member, claim)
    assert not sees(member, claim_on(base, scene.stripe))
    actions.withdraw_vote(claim=claim, by=member, at=now())
    assert not sees(member, claim)


def test_everybody_sees_those_on_a_decided_claim_until_it_is_disputed(scene, base):
    claim = claim_on(scene.verify(base), scene.crest)
    assert sees(None, claim)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    assert not sees(None, claim)
    assert not sees(None, dispute.rival)
    assert sees(scene.reviewers[0], claim)
    actions.close_dispute(dispute=dispute, by=scene.moderator, at=now(), reason="It is an anchor.")
    assert sees(None, claim)
    assert sees(None, dispute.rival)  # closed


def test_many_claims_cost_two_queries(scene, base):
    scene.verify(base)
    scene.report(scene.gull, base=base, cause="parallel")
    with CaptureQueriesContext(connection) as captured:
        may_see_votes(scene.reviewers[0], Claim.objects.all())
    assert len(captured) == 3  # one of them reads the claims
