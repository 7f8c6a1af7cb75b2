"""What a report's steps refuse, and that nothing typed is lost by it."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry import actions
from tests.factories import MemberFactory
from tests.path import Scene, now
from tests.pictures import jpeg
from tests.web.paper import form_with

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_reporting_needs_an_account(client):
    answer = client.get("/report")
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/accounts/login/?next=/report")


def test_another_members_draft_does_not_exist(as_member, scene):
    draft = scene.draft()
    stranger = as_member(MemberFactory())
    for step in ("which", "details", "photos", "marks", "check"):
        assert stranger.get(f"/drafts/{draft.public_id}/{step}").status_code == 404
    assert stranger.post(f"/drafts/{draft.public_id}/check").status_code == 404
    assert stranger.post(f"/drafts/{draft.public_id}/photos/upload").status_code == 404


def test_a_draft_edited_in_another_window_is_not_overwritten(as_member, scene):
    draft = scene.draft()
    member = as_member(scene.author)
    page = member.get(f"/drafts/{draft.public_id}/details")
    actions.edit_draft(submission=draft, by=scene.author, at=now(), content={"title": "Typed elsewhere"})
    answer = member.post(
        f"/drafts/{draft.public_id}/details",
        {**form_with(page, "title").said, "title": "Typed here"},
    )
    assert answer.status_code == 422
    assert "changed by somebody else" in answer.text
    assert "Typed here" in answer.text
    draft.refresh_from_db()
    assert draft.content["title"] == "Typed elsewhere"


def test_proposing_a_state_without_its_name_says_what_is_missing(as_member, scene):
    draft = scene.draft()
    member = as_member(scene.author)
    page = member.get(f"/drafts/{draft.public_id}/details")
    answer = member.post(
        f"/drafts/{draft.public_id}/details",
        {
            **form_with(page, "title").said,
            "also": "state",
            "state_trait": scene.crest.public_id,
            "title": "Kept",
        },
    )
    assert answer.status_code == 422
    assert "It cannot be empty" in answer.text
    assert 'value="Kept"' in answer.text


def test_what_is_no_picture_is_refused_at_its_field(as_member, scene):
    draft = scene.draft()
    member = as_member(scene.author)
    good = SimpleUploadedFile("good.jpg", jpeg(), content_type="image/jpeg")
    bad = SimpleUploadedFile("bad.jpg", b"<html>not a picture</html>", content_type="image/jpeg")
    answer = member.post(
        f"/drafts/{draft.public_id}/photos/upload",
        {"revision": draft.revision, "licence": "CC-BY-4.0", "photos": [good, bad]},
    )
    assert answer.status_code == 422
    assert "bad.jpg: " in answer.text
    assert "good.jpg: " not in answer.text
    assert draft.photos.count() == 1, "the good one is kept"


def test_a_mark_outside_the_picture_is_refused_at_sending_with_the_step_that_mends_it(as_member, scene):
    draft = scene.draft(
        claims=[{"trait": scene.crest.public_id, "state": scene.anchor.public_id, "kind": "stated"}],
        examples=[{"ref": "e1", "condition": "loose", "mine": True}],
    )
    photo = actions.attach_photo(by=scene.author, at=now(), data=jpeg(), submission=draft)
    member = as_member(scene.author)
    page = member.get(f"/drafts/{draft.public_id}/marks")
    typed = {
        "what": f"variant {scene.crest.public_id}",
        "left": "90",
        "top": "10",
        "width": "20",
        "height": "10",
    }
    kept = member.post(
        f"/drafts/{draft.public_id}/marks",
        {
            **form_with(page, "left").said,
            **typed,
            "do": "mark",
            "example": "ref:e1",
            "photo": photo.public_id,
        },
    )
    assert kept.status_code == 422
    assert "inside the picture" in kept.text
    assert 'value="90"' in kept.text


def test_sending_without_a_difference_says_so_and_leads_to_the_details(as_member, scene):
    scene.baseline()
    draft = scene.draft(
        claims=[{"trait": scene.crest.public_id, "state": scene.gull.public_id, "kind": "stated"}]
    )
    answer = as_member(scene.author).post(f"/drafts/{draft.public_id}/check")
    assert answer.status_code == 422
    assert "say what differs" in answer.text
    assert f'href="/drafts/{draft.public_id}/details"' in answer.text


def test_a_sent_report_leads_to_its_variant(as_member, scene):
    variant = scene.report(scene.anchor)
    draft = variant.submissions.get()
    answer = as_member(scene.author).get(f"/drafts/{draft.public_id}/details")
    assert answer.headers["Location"] == f"/variants/{variant.public_id}"


def test_a_draft_can_be_thrown_away(as_member, scene):
    draft = scene.draft()
    answer = as_member(scene.author).post(f"/drafts/{draft.public_id}/withdraw")
    assert answer.headers["Location"] == "/account"
    draft.refresh_from_db()
    assert draft.status == "withdrawn"


@pytest.mark.parametrize(
    "content",
    [
        {
            "claims": "x",
            "examples": 3,
            "photos": {},
            "marks": None,
            "proposes": [],
            "title": 5,
            "nicknames": "a",
        },
        {
            "claims": ["x", {}, {"trait": 1}],
            "examples": [[]],
            "photos": [7],
            "marks": ["m"],
            "nicknames": [1, {}],
        },
        {"marks": [{"photo": "p", "example": "e", "trait": "t", "xywh": "everywhere"}]},
        {
            "proposes": {
                "traits": [{"name": {}}],
                "states": "s",
                "release": [],
                "casting": "c",
                "pack": {"name": {}},
            }
        },
        {
            "claims": [{"trait": "ref:t9", "state": "ref:s9", "base_state": {}}],
            "photos": [{"photo": "p", "examples": 1}],
        },
    ],
)
def test_a_draft_that_a_program_left_in_a_strange_shape_can_still_be_opened(as_member, scene, content):
    draft = scene.draft(**content)
    actions.attach_photo(by=scene.author, at=now(), data=jpeg(), submission=draft)
    member = as_member(scene.author)
    for step in ("which", "details", "photos", "marks", "check"):
        assert member.get(f"/drafts/{draft.public_id}/{step}").status_code == 200, step


def test_an_item_found_at_an_address_is_refused_with_the_step_that_mends_it(as_member, scene):
    item = {"ref": "e1", "condition": "loose", "region": "12 Harbour Street"}
    crest = {"trait": scene.crest.public_id, "state": scene.gull.public_id}
    draft = scene.draft(claims=[crest], examples=[item])
    answer = as_member(scene.author).post(f"/drafts/{draft.public_id}/check", {"send": "yes"})
    assert "reads like an address" in answer.text
    assert f'href="/drafts/{draft.public_id}/photos">Mend it' in answer.text
