"""T10: reviewers and moderators are told on the pages where they look; nobody else is, and of no draft."""

import pytest

from registry import actions
from registry.models import Claim, Likeness, Photo, Submission
from tests.factories import NOON, MemberFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db
WORDS = "This picture looks like one sent earlier by another member."


def marked(scene: Scene, variant) -> Photo:
    example = scene.example()
    photo = scene.photo(example, submission__variant=variant)
    scene.mark(claim_on(variant, scene.crest), photo, example)
    return photo


@pytest.fixture
def world():
    scene = Scene()
    scene.variant = scene.report(scene.anchor)
    scene.first = scene.photo(scene.example(), submission__variant=scene.variant)
    scene.second = marked(scene, scene.variant)
    Likeness.objects.create(photo=scene.second, earlier=scene.first, kind="looks_alike", distance=4)
    return scene


def test_reviewers_are_told_wherever_the_picture_is_shown(world, as_member):
    reviewer = as_member(world.reviewers[0])
    claim = Claim.objects.get(variant=world.variant, trait=world.crest)
    pages = {
        f"/photos/{world.second.public_id}": 1,
        f"/variants/{world.variant.public_id}": 1,
        f"/claims/{claim.public_id}/vote": 1,
        "/review": 1,
    }
    for page, times in pages.items():
        text = reviewer.get(page).text
        assert text.count(WORDS) == times, page
        assert f'href="/photos/{world.first.public_id}">See the other</a>' in text, page
    for reader in (as_member(), as_member(MemberFactory()), as_member(world.author)):
        assert "looks like one" not in reader.get(f"/photos/{world.second.public_id}").text
        assert "looks like one" not in reader.get(f"/variants/{world.variant.public_id}").text
    desk = as_member(world.moderator).get("/moderation").text
    assert f"/photos/{world.second.public_id}" in desk
    assert "looks alike" in desk


def test_several_pictures_alike_are_told_in_one_sentence_with_a_link_to_each(world, as_member):
    newest, before = (
        world.photo(world.example(), submission__variant=world.variant),
        [world.first, world.second],
    )
    for earlier in before:
        Likeness.objects.create(photo=newest, earlier=earlier, kind="looks_alike", distance=5)
    text = as_member(world.reviewers[0]).get(f"/photos/{newest.public_id}").text
    assert text.count(WORDS) == 1
    for photo, words in zip(before, ("See the other", "and another"), strict=True):
        assert f'<a href="/photos/{photo.public_id}">{words}</a>' in text


def test_of_an_unsent_report_no_page_tells(world, as_member):
    Submission.objects.filter(pk=world.first.submission_id).update(sent_at=None, status="draft")
    for who in (world.reviewers[0], world.moderator):
        for page in (f"/photos/{world.second.public_id}", f"/variants/{world.variant.public_id}", "/review"):
            text = as_member(who).get(page).text
            assert "See the other" not in text, page
    assert world.first.public_id not in as_member(world.moderator).get("/moderation").text


def test_a_likeness_changes_no_standing_and_stops_no_vote(world):
    before = world.variant.standing
    claim = claim_on(world.variant, world.crest)
    actions.cast_vote(claim=claim, by=world.reviewers[0], at=now(), verdict="confirms", basis="photo")
    actions.settle_release(release=world.release, at=NOON)
    world.variant.refresh_from_db()
    assert world.variant.standing == before
