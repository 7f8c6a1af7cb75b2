"""A photograph's page: who sees it, who may say what of it."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry import actions
from registry.models import Example, Mark, Photo
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def photo(scene: Scene) -> Photo:
    """A photograph that came with a sent report, on whose claim it bears no mark yet."""
    draft = scene.draft(
        claims=[{"trait": scene.crest.public_id, "state": scene.anchor.public_id, "kind": "stated"}],
        examples=[{"ref": "e1", "condition": "sealed", "mine": True}],
    )
    photo = actions.attach_photo(by=scene.author, at=now(), data=jpeg(), submission=draft, caption="The roof")
    content = {
        **draft.content,
        "photos": [{"photo": photo.public_id, "examples": ["ref:e1"], "views": ["top"]}],
    }
    draft = actions.edit_draft(submission=draft, by=scene.author, at=now(), content=content)
    actions.send_submission(submission=draft, by=scene.author, at=now())
    return Photo.objects.get(pk=photo.pk)


def test_a_drafts_photograph_is_its_owners_alone(as_member, scene):
    photo = actions.attach_photo(by=scene.author, at=now(), data=jpeg(), submission=scene.draft())
    address = f"/photos/{photo.public_id}"
    assert as_member().get(address).status_code == 404
    assert as_member(scene.moderator).get(address).status_code == 404
    assert as_member(scene.author).get(address).status_code == 200


def test_a_reader_sees_it_with_credit_and_licence_and_no_form(client, photo, scene):
    text = client.get(f"/photos/{photo.public_id}").text
    assert f"By {scene.author.display_name}, CC BY 4.0" in text
    assert "Mark a detail" not in text


def test_any_member_may_mark_and_take_an_own_mark_back(as_member, photo, scene):
    claim = claim_on(photo.submission.variant, scene.crest)
    member = as_member(MemberFactory())
    address = f"/photos/{photo.public_id}"
    page = send(
        member,
        address,
        form_with(member.get(address), "left"),
        ("do", "mark"),
        claim=claim.public_id,
        example=Example.objects.get().public_id,
        left="1",
        top="2",
        width="3",
        height="4.5",
    )
    mark = Mark.objects.get()
    assert (mark.x, mark.y, mark.w, mark.h) == (100, 200, 300, 450)
    assert "xywh=percent:1,2,3,4.5" in page.text
    send(
        member,
        address,
        form_with(page, "mark", "reason"),
        ("do", "unmark"),
        mark=mark.public_id,
        reason="A slip",
    )
    mark.refresh_from_db()
    assert mark.removed_at


def test_only_the_owner_says_what_it_shows(as_member, photo, scene):
    stranger = as_member(MemberFactory())
    address = f"/photos/{photo.public_id}"
    assert "What it shows" not in stranger.get(address).text
    assert stranger.post(f"{address}/say", {"do": "describe", "caption": "Mine"}).status_code == 404
    owner = as_member(scene.author)
    send(
        owner,
        address,
        form_with(owner.get(address), "views"),
        ("do", "describe"),
        caption="The roof, raking light",
    )
    photo.refresh_from_db()
    assert photo.caption == "The roof, raking light"


def test_the_owner_notes_another_item_and_then_may_show_it(as_member, photo, scene):
    owner = as_member(scene.author)
    address = f"/photos/{photo.public_id}"
    page = send(
        owner,
        address,
        form_with(owner.get(address), "found_month"),
        ("do", "example"),
        condition="loose",
        found_month="2026-01",
        country="NL",
    )
    made = Example.objects.get(condition="loose")
    assert made.owner == scene.author
    assert (made.found_month.year, made.found_month.month) == (2026, 1)
    assert made.public_id in form_with(page, "views").said.get("examples", []) or made.public_id in page.text


def test_a_mark_outside_the_picture_is_refused_at_its_field(as_member, photo, scene):
    claim = claim_on(photo.submission.variant, scene.crest)
    answer = as_member(scene.author).post(
        f"/photos/{photo.public_id}/say",
        {
            "do": "mark",
            "claim": claim.public_id,
            "example": Example.objects.get().public_id,
            "left": "90",
            "top": "0",
            "width": "20",
            "height": "5",
        },
    )
    assert answer.status_code == 422
    assert "inside the picture" in answer.text
    assert 'value="90"' in answer.text
    assert not Mark.objects.exists()


def test_a_moderator_takes_a_photograph_down_and_it_is_gone(as_member, photo, scene):
    address = f"/photos/{photo.public_id}"
    assert (
        as_member(MemberFactory()).post(f"{address}/say", {"do": "take_down", "reason": "No"}).status_code
        == 404
    )
    moderator = as_member(scene.moderator)
    page = send(
        moderator,
        address,
        form_with(moderator.get(address), "reason"),
        ("do", "take_down"),
        reason="A house number.",
    )
    assert page.status_code == 410
    assert "taken down" in page.text


def test_advice_is_for_its_owner_alone(as_member, client, photo, scene):
    Photo.objects.update(
        quality={"advice": ["dark_left"], "sharpness": 60, "exposure": 40, "dark": 0, "burnt": 0}
    )
    address = f"/photos/{photo.public_id}"
    assert "too dark on the left; move the lamp" in as_member(scene.author).get(address).text
    assert "move the lamp" not in client.get(address).text


def test_T18_a_moderator_takes_it_down_on_a_legal_demand_and_shows_it_again(as_member, client, scene):
    report = scene.report(scene.anchor).submissions.get()
    it = actions.attach_photo(by=scene.author, at=now(), data=jpeg(), submission=report)
    address, moderator = f"/photos/{it.public_id}", as_member(scene.moderator)
    said = {"do": "take_down", "reason": "a demand", "legal": "on"}
    assert moderator.post(f"{address}/say", said).status_code == 302
    gone = client.get(address)
    assert gone.status_code == 451
    assert "on a legal demand" in gone.text
    assert "Show it again" not in gone.text
    assert "Show it again" in moderator.get(address).text
    assert as_member(MemberFactory()).post(f"{address}/restore", {"reason": "mine"}).status_code == 404
    moderator = as_member(scene.moderator)
    wrong = SimpleUploadedFile("x.jpg", jpeg(colour=(1, 2, 3)), "image/jpeg")
    refused = moderator.post(f"{address}/restore", {"reason": "a counter-notice", "file": wrong})
    assert refused.status_code == 422
    assert "This is another picture" in refused.text
    right = SimpleUploadedFile("x.jpg", jpeg(), "image/jpeg")
    assert (
        moderator.post(f"{address}/restore", {"reason": "a counter-notice", "file": right}).status_code == 302
    )
    assert client.get(address).status_code == 200
