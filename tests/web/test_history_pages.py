"""A variant through time, as pages: as it stood on a day, what differs, all that happened."""

import pytest

from tests.path import Scene, claim_on, now
from tests.queries.test_then import correct

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def base(scene):
    base = scene.baseline()
    base.verified_at = now()
    base.dispute = correct(scene, base)
    return base


def test_as_it_stood_at_a_moment(client, base):
    page = client.get(f"/variants/{base.public_id}", {"at": base.verified_at.isoformat()})
    assert "This is how it stood on" in page.text
    assert '<span class="standing">verified</span>' in page.text
    assert "anchor" in page.text
    assert "gull" not in page.text
    assert client.get(f"/variants/{base.public_id}", {"at": "1999-12-31"}).status_code == 404


def test_what_the_last_revision_changed_with_who_and_why(client, scene, base):
    page = client.get(f"/variants/{base.public_id}/differences")
    assert '<span class="before">anchor</span>' in page.text
    assert 'class="changed">gull' in page.text
    assert f"{scene.author}: It is a gull." in page.text
    assert f"/photos/{base.dispute.photos.get().public_id}" in page.text
    same = client.get(f"/variants/{base.public_id}/differences?from=2&to=2")
    assert "Nothing differs." in same.text
    assert client.get(f"/variants/{base.public_id}/differences?from=x&to=2").status_code == 404


def test_all_that_happened_reads_as_sentences_and_is_reached_from_the_variants_page(client, scene, base):
    address = f"/variants/{base.public_id}/history"
    assert address in client.get(f"/variants/{base.public_id}").text
    page = client.get(address)
    assert f"{scene.author} <a" in page.text
    assert "disputed Roof crest: anchor, and saw gull instead</a>. <q>It is a gull.</q>" in page.text
    assert client.get(f"{address}?before=1999-01-01").status_code == 200
    assert client.get(f"{address}?before=soon").status_code == 404


def test_the_history_keeps_votes_blind(as_member, scene):
    base = scene.report(scene.anchor)
    scene.vote(claim_on(base, scene.crest), voters=1)
    address = f"/variants/{base.public_id}/history"
    assert "voted on Roof crest" not in as_member(scene.reviewers[3]).get(address).text
    assert "voted on Roof crest" in as_member(scene.reviewers[0]).get(address).text
