"""What a photo is like, over the API: for reviewers, and of no draft."""

import pytest

from registry.models import Likeness, Submission
from tests.factories import MemberFactory
from tests.path import Scene

from .caller import Caller

pytestmark = pytest.mark.django_db


def test_likenesses_are_told_to_reviewers_alone_and_cost_the_same(queries_of):
    scene = Scene()
    variant = scene.report(scene.anchor)
    photos = [scene.photo(scene.example(), submission__variant=variant) for _ in range(4)]
    first, second = photos[:2]
    Likeness.objects.create(photo=second, earlier=first, kind="like_a_part", distance=7)
    reviewer, member = Caller(scene.reviewers[0]), Caller(MemberFactory())
    address = f"/v1/photos/{second.public_id}"
    assert reviewer.get(address).json()["likenesses"] == [
        {
            "photo": first.public_id,
            "kind": "like_a_part",
            "distance": 7,
            "is_earlier": True,
            "is_same_owner": False,
        }
    ]
    assert reviewer.get(f"/v1/photos/{first.public_id}").json()["likenesses"][0]["is_earlier"] is False
    told = reviewer.get(f"/v1/variants/{variant.public_id}/evidence").json()["results"]
    assert sorted(len(photo["likenesses"]) for photo in told) == [0, 0, 1, 1]
    for other in (Caller(), member, Caller(second.owner)):
        assert other.get(address).json()["likenesses"] is None
    few = queries_of(lambda: reviewer.get("/v1/photos"))
    Likeness.objects.bulk_create(
        Likeness(photo=later, earlier=first, kind="looks_alike", distance=1) for later in photos[2:]
    )
    assert queries_of(lambda: reviewer.get("/v1/photos")) == few
    Submission.objects.filter(pk=first.submission_id).update(sent_at=None, status="draft")
    assert reviewer.get(address).json()["likenesses"] == []
