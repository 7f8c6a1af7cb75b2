"""Opened drafts over the API: a quick note is made and opened, others remark on it, it is closed again."""

import pytest

from registry import actions
from registry.models import Remark
from tests.factories import MemberFactory
from tests.opened import RemarkFactory, an_opened_draft
from tests.path import Scene, now
from tests.pictures import jpeg

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def test_a_quick_note_is_a_submission_a_photo_and_opening_it(scene):
    author = Caller(scene.author)
    begun = author.post(
        "/v1/submissions", {"release": scene.release.public_id, "content": {"note": "The crest looks wider."}}
    )
    address = begun["Location"]
    problem(author.post(f"{address}/open"), 422, "validation-failed")
    photo = author.post(
        f"/v1/photos?submission={begun.json()['id']}", jpeg(), **{"Content-Type": "image/jpeg"}
    ).json()
    opened = author.post(f"{address}/open", key="once")
    assert opened.status_code == 200, opened.content
    assert opened.json()["opened_at"] is not None
    assert author.post(f"{address}/open", key="once").json() == opened.json()
    problem(author.post(f"{address}/open"), 409, "already-closed")
    [told] = pages(Caller(), "/v1/opened-drafts", release=scene.release.public_id)
    assert (told["id"], told["author"], told["question"], told["release"], told["remarks"]) == (
        begun.json()["id"],
        scene.author.public_id,
        "The crest looks wider.",
        scene.release.public_id,
        0,
    )
    assert [one["id"] for one in told["photos"]] == [photo["id"]]
    assert told["photos"][0]["files"] == photo["files"]
    one = Caller().get(f"/v1/opened-drafts/{told['id']}")
    assert one.json() == told
    assert one["Cache-Control"] == "private, no-store", "it may be closed again"
    assert (
        Caller().get(f"/v1/opened-drafts/{told['id']}", **{"If-None-Match": one["ETag"]}).status_code == 304
    )


def test_only_what_is_open_is_listed_and_nothing_else_of_the_draft(scene):
    kept = scene.draft(note="Nobody sees this.")
    draft = an_opened_draft(scene, scene.author, title="My own title")
    text = Caller().get("/v1/opened-drafts").content.decode()
    assert draft.public_id in text
    assert "My own title" not in text
    assert kept.public_id not in text
    actions.close_draft(submission=draft, by=scene.author, at=now())
    assert pages(Caller(), "/v1/opened-drafts") == []
    problem(Caller().get(f"/v1/opened-drafts/{draft.public_id}"), 404, "not-found")
    problem(Caller().get(f"/v1/opened-drafts/{draft.public_id}/remarks"), 404, "not-found")


def test_a_remark_is_made_read_and_taken_away(scene, queries_of):
    draft, member = an_opened_draft(scene, scene.author), Caller(MemberFactory())
    path, photo = f"/v1/opened-drafts/{draft.public_id}/remarks", draft.photos.get()
    said = {"photo": photo.public_id, "xywh": "percent:10,20,30,40", "state": scene.gull.public_id}
    made = member.post(path, said, key="one")
    assert made.status_code == 201, made.content
    told = made.json()
    assert told == {
        "id": told["id"], "draft": draft.public_id, "photo": photo.public_id, "xywh": "xywh=percent:10,20,30,40",
        "state": scene.gull.public_id, "sentence": "", "by": member.token.member.public_id, "at": told["at"],
    }  # fmt: skip
    assert member.post(path, said, key="one").json() == told
    assert Remark.objects.count() == 1
    assert Caller().get(made["Location"]).json() == told
    few, listed = (
        queries_of(lambda: Caller().get(path)),
        queries_of(lambda: Caller().get("/v1/opened-drafts")),
    )
    for n in range(4):
        RemarkFactory(photo=photo, state=scene.gull, sentence=f"Look {n}.")
        an_opened_draft(scene, MemberFactory())
    assert queries_of(lambda: Caller().get(path)) == few <= 5
    assert queries_of(lambda: Caller().get("/v1/opened-drafts")) == listed <= 5
    assert {one["sentence"] for one in pages(Caller(), path, limit=2)} == {
        "",
        *(f"Look {n}." for n in range(4)),
    }
    assert Caller().get(f"/v1/opened-drafts/{draft.public_id}").json()["remarks"] == 5
    problem(Caller(MemberFactory()).delete(made["Location"]), 403, "not-permitted")
    assert member.delete(made["Location"]).status_code == 204
    problem(Caller().get(made["Location"]), 404, "not-found")


def test_a_remark_that_says_nothing_or_of_another_draft_is_refused(scene):
    draft, elsewhere = an_opened_draft(scene, scene.author), Scene()
    other, hidden = an_opened_draft(elsewhere, elsewhere.author), scene.photo(scene.example())
    member, path = Caller(MemberFactory()), f"/v1/opened-drafts/{draft.public_id}/remarks"
    said = {"photo": draft.photos.get().public_id, "xywh": "percent:10,20,30,40", "sentence": "Here."}
    for wrong, pointer in (
        ({"photo": other.photos.get().public_id}, "/photo"),
        ({"photo": hidden.public_id}, "/photo"),
        ({"xywh": "percent:90,20,30,40"}, "/xywh"),
        ({"state": elsewhere.gull.public_id}, "/state"),
        ({"sentence": ""}, "/sentence"),
        ({"sentence": "x" * 201}, "/sentence"),
    ):
        refusal = problem(member.post(path, {**said, **wrong}), 422, "validation-failed")
        assert refusal["errors"][0]["pointer"] == pointer
    assert not Remark.objects.exists()


def test_a_moderator_closes_it_and_its_author_is_told_so(scene):
    draft, author = an_opened_draft(scene, scene.author), Caller(scene.author)
    it, why = f"/v1/opened-drafts/{draft.public_id}", {"reason": "A face is in it."}
    moderator = Caller(scene.moderator)
    problem(moderator.delete(it), 422, "validation-failed")
    assert moderator.delete(it, why).status_code == 204
    problem(moderator.delete(it, why), 404, "not-found")
    mine = f"/v1/submissions/{draft.public_id}"
    assert author.get(mine).json()["is_closed"] is True
    problem(author.post(f"{mine}/open"), 409, "already-closed")
    again = an_opened_draft(scene, scene.author)
    assert author.delete(f"/v1/opened-drafts/{again.public_id}").status_code == 204
    assert author.get(f"/v1/submissions/{again.public_id}").json()["is_closed"] is False
