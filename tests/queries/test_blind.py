"""Votes are blind until one has voted, or the claim is decided, or closed."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import Claim, Variant
from registry.queries.blind import may_see_votes, missing_of
from registry.queries.pages import variant_page
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


def test_how_many_votes_are_missing_is_told_to_who_may_see_them_alone(scene, base):
    scene.show(base)
    claim = claim_on(base, scene.crest)
    scene.vote(claim, voters=2)
    told = {None: "more votes on", scene.moderator: "more votes on", scene.reviewers[0]: "one more vote on"}
    for reader, words in told.items():
        page = variant_page(Variant.objects.get(pk=base.pk), reader)
        shown = next(entry.claim for entry in page.claims if entry.claim == claim)
        assert missing_of(shown) == [f"{words} roof crest"]
    base.refresh_from_db()
    assert "one more vote on roof crest" in base.missing
    assert "more votes on roof crest" in missing_of(base)
