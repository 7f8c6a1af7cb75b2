"""T11: the code on the page of a report's photographs, and what reviewers say of it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry import actions
from registry.models import CodeSeen, Photo, ShotCode
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_a_draft_shows_its_code_and_gives_another_when_it_is_old(as_member, scene):
    draft = actions.start_draft(by=scene.author, at=timezone.now(), release=scene.release)
    author, address = as_member(scene.author), f"/drafts/{draft.public_id}/photos"
    code = ShotCode.objects.get()
    assert f'<strong class="id">{code}</strong>' in author.get(address).text
    ShotCode.objects.update(issued_at=timezone.now() - timedelta(days=15))
    text = author.get(address).text
    assert str(code) not in text
    assert "Give me a new code" in text
    assert author.post(f"/drafts/{draft.public_id}/code").status_code == 302
    assert str(ShotCode.objects.latest("pk")) in author.get(address).text
    assert as_member(MemberFactory()).post(f"/drafts/{draft.public_id}/code").status_code == 404


def test_a_reviewer_types_the_code_and_everybody_reads_how_many_did(as_member, scene):
    variant = scene.report(scene.anchor)
    example = scene.example()
    photo = scene.photo(example, submission__variant=variant)
    scene.mark(claim_on(variant, scene.crest), photo, example)
    photo.submission.shot_codes.create(code="K7DXW4", issued_at=photo.added_at)
    Photo.objects.update(is_edited=True)
    reviewer, address = as_member(scene.reviewers[0]), f"/photos/{photo.public_id}"
    assert f'href="{address}#code"' in reviewer.get("/review").text
    page = send(reviewer, address, form_with(reviewer.get(address), "code"), ("do", "code"), code="MNPRTV")
    assert "not a code of this report" in page.text
    page = send(reviewer, address, form_with(reviewer.get(address), "code"), ("do", "code"), code="k7dxw4")
    assert "1 reviewer saw this report’s code in the picture." in page.text
    assert "A code on paper?" not in page.text
    assert CodeSeen.objects.get().by == scene.reviewers[0]
    text = as_member().get(address).text
    assert "1 reviewer saw this report’s code in the picture." in text
    assert "Edited, its owner says." in text
    assert "A code on paper?" not in text
    assert "A code on paper?" not in as_member(MemberFactory()).get(address).text


def test_an_owner_says_on_the_page_that_it_was_edited(as_member, scene):
    variant = scene.report(scene.anchor)
    photo = scene.photo(scene.example(owner=scene.author), submission__variant=variant, added_at=now())
    owner, address = as_member(scene.author), f"/photos/{photo.public_id}"
    page = send(
        owner, address, form_with(owner.get(address), "is_edited"), ("do", "describe"), is_edited="on"
    )
    assert "Edited, its owner says." in page.text
