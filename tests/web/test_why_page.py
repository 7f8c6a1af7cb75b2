"""Why a detail stands as it does, as a page and inside its variant's page."""

import pytest

from registry import actions
from registry.queries.blind import may_see_votes
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    base = scene.report(scene.anchor, scene.red)
    scene.show(base)
    claim = claim_on(base, scene.crest)
    scene.vote(claim, voters=2)
    return claim


def test_before_voting_the_page_shows_no_vote(as_member, scene, claim):
    page = as_member(scene.reviewers[4]).get(f"/claims/{claim.public_id}/why")
    assert "Votes are shown once you have voted" in page.text
    assert scene.reviewers[0].display_name not in page.text
    assert "Marked on a photo" in page.text
    assert not may_see_votes(scene.reviewers[4], [claim])


def test_after_voting_it_shows_each_with_its_weight_and_what_would_change_it(as_member, scene, claim):
    page = as_member(scene.reviewers[0]).get(f"/claims/{claim.public_id}/why")
    assert page.text.count("counts fairly for it") == 2
    assert "about 94 in 100" in page.text
    assert "One more vote by photo that confirms it would confirm it." in page.text


def test_it_opens_inside_the_variants_page(as_member, scene, claim):
    reader = as_member(scene.reviewers[0])
    variant = reader.get(f"/variants/{claim.variant.public_id}")
    assert f'href="/claims/{claim.public_id}/why"' in variant.text
    assert f'<div id="why-{claim.public_id}"></div>' in variant.text
    part = reader.get(f"/claims/{claim.public_id}/why", headers={"HX-Request": "true"})
    assert part.text.lstrip().startswith(f'<div id="why-{claim.public_id}">')
    assert "<html" not in part.text
    assert "HX-Request" in part.headers["Vary"]


def test_votes_disputes_and_linked_members_cost_no_query_more(
    as_member, scene, claim, django_assert_num_queries
):
    voter, other, third = scene.reviewers[0], MemberFactory(), MemberFactory()
    reader, path = as_member(voter), f"/claims/{claim.public_id}/why"
    for one, next_one in ((voter, other), (other, third)):
        actions.declare_link(first=one, second=next_one, by=scene.moderator, at=now())
    actions.open_dispute(claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now())
    with django_assert_num_queries(12):
        page = reader.get(path).text
    assert "A gull." in page
    assert "counts fairly for it" in page
