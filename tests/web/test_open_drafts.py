"""A quick note, what others say of it, and the report that it becomes; no script needed."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry import actions
from registry.actions.index import index
from registry.models import Photo, Remark, State, Submission
from tests.api.caller import whole
from tests.opened import RemarkFactory, an_opened_draft
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db
REGION = {"left": "10", "top": "20", "width": "30", "height": "40"}


def picture():
    return SimpleUploadedFile("a.jpg", jpeg(), content_type="image/jpeg")


def ask(as_member, scene, then="open", **query):
    author = as_member(scene.author)
    page = author.get("/quick", {"release": scene.release.public_id} | query)
    form = form_with(page, "picture")
    path = page.request["PATH_INFO"] + "?" + page.request["QUERY_STRING"]
    said = {"note": "The crest looks wider.", "picture": picture()}
    return author, send(author, path, form, ("then", then), **said)


def file_of(draft):
    return f"/media/{draft.photos.get().stored_as('320')}"


def test_a_note_kept_as_a_draft_is_seen_by_nobody_else(as_member):
    scene = Scene()
    _, page = ask(as_member, scene, then="keep")
    draft = Submission.objects.get(author=scene.author)
    assert (draft.release, draft.content["note"]) == (scene.release, "The crest looks wider.")
    assert page.request["PATH_INFO"] == f"/drafts/{draft.public_id}/photos"
    assert "Then everybody sees this picture and your note" in page.text
    stranger = as_member()
    assert "The crest looks wider" not in stranger.get("/open").text
    assert stranger.get(f"/open/{draft.public_id}").status_code == 404
    assert stranger.get(file_of(draft)).status_code == 404


def test_opening_shows_its_pictures_and_note_and_closing_hides_them_again(as_member):
    scene = Scene()
    author, page = ask(as_member, scene)
    draft = Submission.objects.get(author=scene.author)
    home = f"/open/{draft.public_id}"
    assert page.request["PATH_INFO"] == home
    stranger = as_member()
    assert "The crest looks wider" in stranger.get("/open").text
    assert "nothing said here is evidence" in stranger.get(home).text
    shown = stranger.get(file_of(draft))
    assert whole(shown).startswith(b"\xff\xd8\xff")
    assert shown["Cache-Control"] == "private, no-store", "it may be closed again"
    assert stranger.get(f"/drafts/{draft.public_id}/photos").status_code == 302
    assert as_member(scene.reviewers[0]).get(f"/drafts/{draft.public_id}/photos").status_code == 404
    send(author, home, form_with(page, action=f"{home}/close"))
    assert stranger.get(home).status_code == 404
    assert stranger.get(file_of(draft)).status_code == 404
    author.post(f"{home}/begin")
    assert stranger.get(home).status_code == 200


def test_others_say_what_they_see_and_the_author_makes_a_report_of_it(as_member):
    scene = Scene()
    base = scene.baseline()
    author, page = ask(as_member, scene)
    draft = Submission.objects.get(author=scene.author, status="draft")
    actions.edit_draft(submission=draft, by=scene.author, at=now(), differs_from=base)
    home = page.request["PATH_INFO"]
    other = as_member(scene.reviewers[0])
    page = send(other, home, form_with(other.get(home), "left"), state=scene.gull.public_id, **REGION)
    page = send(other, home, form_with(page, "left"), sentence="A softer print, too.", **REGION)
    assert "Roof crest: gull" in page.text
    assert "A softer print, too." in page.text
    assert "Make it a report" not in page.text
    assert other.post(f"{home}/report").status_code == 404

    send(author, home, form_with(author.get(home), "condition"), condition="loose", mine="yes")
    once = Submission.objects.get(pk=draft.pk).content
    details = send(author, home, form_with(author.get(home), "condition"), condition="loose", mine="yes")
    draft.refresh_from_db()
    assert draft.content == once, "filling it in twice adds nothing twice"
    assert "A softer print" not in re.search("<h1>.*</h1>", as_member().get(home).text)[0]
    assert details.request["PATH_INFO"] == f"/drafts/{draft.public_id}/details"
    check = author.get(f"/drafts/{draft.public_id}/check")
    assert "yes" in check.text
    author.post(f"/drafts/{draft.public_id}/check", {"send": "yes"})
    draft.refresh_from_db()
    mark = claim_on(draft.variant, scene.crest).marks.get()
    assert mark.claim.state == scene.gull
    assert (mark.x, mark.y, mark.w, mark.h) == (1000, 2000, 3000, 4000)
    assert draft.content["note"].endswith("A softer print, too.")
    assert as_member().get(home)["Location"] == f"/variants/{draft.variant.public_id}"


def test_a_state_that_was_merged_since_is_taken_over_as_what_stands_for_it(as_member):
    scene = Scene()
    author, page = ask(as_member, scene)
    draft, home = Submission.objects.get(author=scene.author), page.request["PATH_INFO"]
    claims = [{"trait": scene.crest.public_id, "state": scene.gull.public_id, "kind": "stated"}]
    content = draft.content | {"claims": claims}
    actions.edit_draft(submission=draft, by=scene.author, at=now(), content=content)
    photo, said = draft.photos.get(), {"by": scene.reviewers[0], "at": now(), "xywh": (0, 0, 900, 900)}
    actions.add_remark(photo=photo, state=scene.gull, **said)
    tern = actions.add_state(by=scene.moderator, at=now(), trait=scene.crest, key="tern", name="tern")
    actions.merge(thing=scene.gull, into=tern, by=scene.moderator, at=now())
    assert actions.add_remark(photo=photo, state=State.objects.get(pk=scene.gull.pk), **said).state == tern
    assert author.get(home).text.count("Roof crest: tern <small>") == 2
    send(author, home, form_with(author.get(home), "condition"), condition="loose", mine="yes")
    draft.refresh_from_db()
    [claim], [mark] = draft.content["claims"], draft.content["marks"]
    assert claim["state"] == tern.public_id
    assert (mark["trait"], mark["xywh"]) == (scene.crest.public_id, "percent:0,0,9,9")


def test_many_questions_and_many_remarks_come_in_pages_and_all_of_them_into_the_report(
    as_member, monkeypatch
):
    monkeypatch.setattr("registry.queries.opened.REMARKS_ON_PAGE", 2)
    monkeypatch.setattr("registry.queries.opened.DRAFTS_ON_PAGE", 2)
    scene = Scene()
    draft, *_ = [an_opened_draft(scene, scene.author, note=f"Question {n}.") for n in range(3)]
    for n in range(5):
        RemarkFactory(photo=draft.photos.get(), sentence=f"Remark {n}.")
    reader, home = as_member(), f"/open/{draft.public_id}"
    shown = [reader.get(f"{home}?page={n}").text for n in (1, 2, 3)]
    assert [[n for n in range(5) if f"Remark {n}." in text] for text in shown] == [[3, 4], [1, 2], [0]]
    assert f'href="{home}?page=3"' in shown[1]
    assert "Those after" not in shown[2]
    listed = [reader.get(f"/open?page={n}").text for n in (1, 2)]
    assert [[n for n in range(3) if f"Question {n}." in text] for text in listed] == [[1, 2], [0]]
    author = as_member(scene.author)
    send(author, home, form_with(author.get(home), "condition"), condition="loose", mine="yes")
    draft.refresh_from_db()
    assert all(f"Remark {n}." in draft.content["note"] for n in range(5))


def test_a_refused_remark_keeps_what_was_typed(as_member):
    scene = Scene()
    _, page = ask(as_member, scene)
    other, home = as_member(scene.reviewers[0]), page.request["PATH_INFO"]
    page = send(other, home, form_with(other.get(home), "left"), sentence="Look", **REGION | {"left": "90"})
    assert page.status_code == 422
    assert 'value="Look"' in page.text
    assert not Remark.objects.exists()
    assert other.post(f"{home}/remark", {"photo": "unknown", **REGION}).status_code == 404


def test_a_remark_is_taken_away_by_who_made_it(as_member):
    scene = Scene()
    _, page = ask(as_member, scene)
    home, photo = page.request["PATH_INFO"], Photo.objects.get()
    said = {"xywh": (0, 0, 900, 900), "sentence": "Here."}
    it = actions.add_remark(photo=photo, by=scene.reviewers[0], at=now(), **said)
    path = f"{home}/remarks/{it.public_id}/remove"
    assert as_member(scene.reviewers[1]).post(path).status_code == 403
    assert as_member(scene.reviewers[0]).post(path).status_code == 302
    assert as_member(scene.reviewers[0]).post(path).status_code == 404


def test_a_moderator_closes_it_and_takes_its_pictures_down(as_member):
    scene = Scene()
    _, page = ask(as_member, scene)
    draft, home = Submission.objects.get(author=scene.author), page.request["PATH_INFO"]
    assert as_member(scene.reviewers[0]).post(f"{home}/close", {"reason": "I wish"}).status_code == 403
    moderator = as_member(scene.moderator)
    form = form_with(moderator.get(home), "reason")
    send(moderator, home, form, reason="A face is in it.", pictures="yes")
    assert draft.photos.get().taken_down_at
    assert as_member().get(home).status_code == 404
    assert as_member().get(file_of(draft)).status_code == 410


def test_its_author_reads_why_a_moderator_closed_it_and_changes_something_before_asking_again(as_member):
    scene = Scene()
    author, page = ask(as_member, scene)
    draft, home = Submission.objects.get(author=scene.author), page.request["PATH_INFO"]
    moderator = as_member(scene.moderator)
    form = form_with(moderator.get(home), "reason")
    assert "Its author reads this." in moderator.get(home).text
    send(moderator, home, form, reason="The stripe is listed: see the baseline.")
    assert author.get(home)["Location"] == f"/drafts/{draft.public_id}/photos"
    for step in ("which", "details", "photos", "marks", "check"):
        assert (
            "The stripe is listed: see the baseline." in author.get(f"/drafts/{draft.public_id}/{step}").text
        )
    assert "a moderator closed what you asked others" in author.get("/account").text
    assert "a moderator closed what you asked others" in author.get("/report").text
    refused = author.post(f"{home}/begin")
    assert refused.status_code == 409
    assert "Change its note, its pictures or which one it is" in refused.text
    content = draft.content | {"note": "Is the crest wider?"}
    actions.edit_draft(submission=draft, by=scene.author, at=now(), content=content)
    assert author.post(f"{home}/begin")["Location"] == home
    assert "The stripe is listed" not in author.get(f"/drafts/{draft.public_id}/photos").text


def test_a_picture_that_cannot_be_read_leaves_no_draft(as_member):
    scene = Scene()
    author = as_member(scene.author)
    said = {"note": "Odd.", "picture": SimpleUploadedFile("a.jpg", b"no picture")}
    answer = author.post("/quick", said)
    assert answer.status_code == 422
    assert 'value="Odd."' in answer.text
    assert not Submission.objects.exists()


def test_a_picture_that_was_taken_down_before_leaves_no_draft_either(as_member):
    scene = Scene()
    author, _ = ask(as_member, scene)
    actions.take_down_photo(
        photo=Photo.objects.get(), by=scene.moderator, at=now(), reason="A face is in it."
    )
    answer = author.post("/quick", {"note": "Once more.", "picture": picture(), "licence": "CC-BY-4.0"})
    assert answer.status_code == 422
    assert "A moderator took this picture down." in answer.text
    assert Submission.objects.count() == 1


def test_the_release_is_looked_for_by_name(as_member):
    scene = Scene()
    index(scene.release)
    page = as_member(scene.author).get("/quick", {"q": scene.release.name})
    assert f"?release={scene.release.public_id}" in page.text
    assert "Nothing has all of these words" in as_member(scene.author).get("/quick", {"q": "zzzz"}).text


def test_the_way_from_a_report_to_a_quick_note_keeps_the_release(as_member):
    scene = Scene()
    variant = scene.baseline()
    author = as_member(scene.author)
    for chosen in (
        f"release={scene.release.public_id}",
        f"variant={variant.public_id}",
        f"differs_from={variant.public_id}",
    ):
        assert f'href="/quick?release={scene.release.public_id}"' in author.get(f"/report?{chosen}").text
    assert 'href="/quick"' in author.get(f"/report?casting={scene.release.casting.public_id}").text
