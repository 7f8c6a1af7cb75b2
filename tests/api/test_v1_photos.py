"""Photos, examples and marks over the API."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection

from registry import actions, intake
from registry.errors import Busy
from registry.methods.identifiers import mint
from registry.models import Mark, Photo
from tests.factories import MemberFactory, ModeratorFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg, picture, saved, telling_jpeg

from .caller import Caller, pages, problem, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def author(scene):
    return Caller(scene.author)


def test_a_picture_is_attached_as_a_form_or_as_the_whole_body(scene, author):
    draft = scene.draft()
    form = {
        "submission": draft.public_id,
        "views": "top,front",
        "caption": "both lamps",
        "data": SimpleUploadedFile("x.png", saved(picture(), "PNG")),
    }
    answer = author.client.post("/v1/photos", form, headers={**author.headers, "Idempotency-Key": "f"})
    assert answer.status_code == 201, answer.content
    shown = author.get(answer["Location"]).json()
    assert (shown["views"], shown["caption"], shown["licence"]) == (
        ["front", "top"],
        "both lamps",
        "CC-BY-4.0",
    )
    other = author.attach(jpeg(colour=(1, 2, 3)), submission=draft.public_id, licence="CC0-1.0")
    assert other.json()["licence"] == "CC0-1.0"
    file = other.json()["files"]["px320"]
    assert author.client.get(file).status_code == 404, "a draft's picture is its owner's alone"
    author.client.force_login(author.token.member)
    small = author.client.get(file)
    assert (small.status_code, small["Content-Type"]) == (200, "image/jpeg")
    assert whole(small).startswith(b"\xff\xd8\xff")


def test_the_same_upload_again_is_answered_again(scene, author):
    draft = scene.draft()
    first = author.attach(jpeg(), key="one", submission=draft.public_id)
    again = author.attach(jpeg(), key="one", submission=draft.public_id)
    assert first.content == again.content
    assert again["Idempotency-Replayed"] == "true"
    problem(
        author.attach(jpeg(colour=(9, 9, 9)), key="one", submission=draft.public_id),
        422,
        "idempotency-key-reused",
    )
    assert Photo.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_picture_is_decoded_before_any_transaction_opens(monkeypatch):
    scene, decode, seen = Scene(), intake.decode, []

    def watched(*given):
        seen.append(connection.in_atomic_block)
        return decode(*given)

    monkeypatch.setattr(intake, "decode", watched)
    author, draft = Caller(scene.author), scene.draft()
    first = author.attach(jpeg(), key="one", submission=draft.public_id)
    assert (first.status_code, seen) == (201, [False])
    assert author.attach(jpeg(), key="one", submission=draft.public_id)["Idempotency-Replayed"] == "true"
    assert author.attach(jpeg(), key="two", submission=draft.public_id).json() == first.json()
    assert seen == [False], "what is known already is not decoded again"
    author.client.force_login(scene.author)
    file = SimpleUploadedFile("x.jpg", jpeg(99, 80))
    form = {"photos": [file], "licence": "CC0-1.0", "revision": draft.revision}
    assert author.client.post(f"/drafts/{draft.public_id}/photos/upload", form).status_code == 302
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    dispute = actions.open_dispute(
        by=MemberFactory(), at=now(), claim=claim, state=scene.gull, reason="A gull.", data=jpeg(98, 80)
    )
    assert dispute.photos.count() == 1
    assert len(seen) >= 3
    assert not any(seen)


def test_T13_a_picture_that_brings_the_decoder_down_or_waits_too_long_is_told_plainly(
    scene, author, monkeypatch
):
    def broken(*given):
        raise intake.DecoderFailed("The picture takes too much to open.")

    monkeypatch.setattr(intake, "decode", broken)
    told = problem(author.attach(jpeg(), submission=scene.draft().public_id), 422, "image-refused")
    assert told["errors"][0]["pointer"] == "/data"

    def busy(*given):
        raise intake.DecoderBusy

    monkeypatch.setattr(intake, "decode", busy)
    answer = author.attach(jpeg(), submission=scene.draft().public_id)
    problem(answer, 503, "overloaded")
    assert answer["Retry-After"] == str(Busy.retry_after)
    assert not Photo.objects.exists()


def test_T16_nothing_the_camera_told_is_answered(scene, author):
    answer = author.attach(telling_jpeg(), submission=scene.draft().public_id)
    assert answer.status_code == 201
    assert b"captured" not in answer.content
    assert b"secret" not in answer.content


def test_T31_a_picture_above_the_limit_is_413(scene, author, settings):
    settings.CASTLORE_PHOTO_MAX_BYTES = 1_000
    problem(author.attach(b"\xff" * 1_001, submission=scene.draft().public_id), 413, "too-large")
    form = {"submission": scene.draft().public_id, "data": SimpleUploadedFile("x.jpg", b"\xff" * 200_000)}
    answer = author.client.post("/v1/photos", form, headers={**author.headers, "Idempotency-Key": "f"})
    problem(answer, 413, "too-large")


@pytest.mark.parametrize(
    ("form", "pointer"),
    [
        ({}, "/data"),
        ({"data": "text"}, "/data"),
        ({"data": SimpleUploadedFile("x.jpg", jpeg()), "owner": "me"}, "/owner"),
        ({"data": SimpleUploadedFile("x.jpg", jpeg()), "views": "sideways"}, "/views/0"),
        ({"data": SimpleUploadedFile("x.jpg", jpeg()), "views": SimpleUploadedFile("v", b"x")}, "/views/0"),
        ({"data": SimpleUploadedFile("x.jpg", jpeg()), "caption": SimpleUploadedFile("c", b"x")}, "/caption"),
    ],
)
def test_a_form_that_says_too_little_or_too_much_is_refused(form, pointer, author):
    answer = author.client.post("/v1/photos", form, headers={**author.headers, "Idempotency-Key": "f"})
    assert problem(answer, 422, "validation-failed")["errors"][0]["pointer"] == pointer


def test_a_picture_belongs_to_exactly_one_thing(author):
    told = problem(author.attach(jpeg()), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == "/submission"


def test_its_owner_says_anew_what_a_photo_shows(scene, author):
    example = scene.example(owner=scene.author)
    photo = author.attach(jpeg(), submission=scene.draft().public_id).json()
    address = f"/v1/photos/{photo['id']}"
    etag = author.get(address)["ETag"]
    changed = author.patch(address, {"examples": [example.public_id], "views": ["rivets"]}, match=etag)
    assert changed.json()["examples"] == [example.public_id]
    assert changed.json()["views"] == ["rivets"]
    problem(author.patch(address, {"caption": "x"}, match=etag), 412, "etag-stale")


def test_a_photo_taken_down_is_gone(scene, author):
    photo = author.attach(jpeg(), submission=scene.draft().public_id).json()
    scene.report(scene.anchor)
    address = f"/v1/photos/{photo['id']}"
    problem(author.delete(address, {"reason": "a face"}), 403, "role-required")
    Photo.objects.update(
        submission=scene.report(scene.gull, base=scene.release.variants.get()).submissions.get()
    )
    moderator = Caller(ModeratorFactory())
    problem(moderator.delete(address), 422, "validation-failed")
    assert moderator.delete(address, {"reason": "a face in the glass"}).status_code == 204
    problem(Caller().get(address), 410, "taken-down")
    assert Caller().get("/v1/photos").json()["results"] == []


def test_an_answer_says_how_fit_a_picture_is_whose_it_is_and_what_to_mend(scene, author):
    told = author.attach(jpeg(), submission=scene.draft().public_id).json()
    assert told["credit"] == scene.author.display_name
    assert {name: told["quality"][name] for name in ("sharpness", "dark", "burnt")} == {
        "sharpness": 0, "dark": 0, "burnt": 0,
    }  # fmt: skip
    assert [each["code"] for each in told["quality"]["advice"]] == ["small", "nothing"]
    assert all(each["text"].endswith(".") for each in told["quality"]["advice"])
    Photo.objects.update(quality=None)
    assert author.get(f"/v1/photos/{told['id']}").json()["quality"] is None


def test_T18_a_photo_withheld_by_law_is_451_until_a_moderator_restores_it_by_its_file(
    scene, django_capture_on_commit_callbacks
):
    author, moderator = Caller(scene.author), Caller(ModeratorFactory())
    report = scene.report(scene.anchor).submissions.get()
    photo = author.attach(jpeg(), submission=report.public_id).json()
    address = f"/v1/photos/{photo['id']}"
    problem(
        moderator.delete(address, {"reason": "a demand", "legal": "maybe"}), 400, "parameter-out-of-range"
    )
    with django_capture_on_commit_callbacks(execute=True):
        assert moderator.delete(address, {"reason": "a demand", "legal": "true"}).status_code == 204
    problem(Caller().get(address), 451, "withheld-by-law")

    def restore(caller, key, **files):
        form = {"reason": "a counter-notice", **files}
        headers = {**caller.headers, "Idempotency-Key": key}
        return caller.client.post(f"{address}/restore", form, headers=headers)

    problem(restore(author, "a"), 403, "role-required")
    problem(restore(moderator, "b"), 422, "image-refused")
    other = SimpleUploadedFile("x.jpg", jpeg(colour=(1, 2, 3)))
    problem(restore(moderator, "c", data=other), 422, "image-refused")
    answer = restore(moderator, "d", data=SimpleUploadedFile("x.jpg", jpeg()))
    assert answer.status_code == 200, answer.content
    assert answer.json()["sha256"] == photo["sha256"]
    assert Caller().get(address).status_code == 200


def test_any_member_marks_what_a_published_photo_shows(scene):
    variant = scene.report(scene.anchor)
    example = scene.example()
    photo = scene.photo(example)
    said = {
        "photo": photo.public_id, "example": example.public_id,
        "claim": claim_on(variant, scene.crest).public_id, "xywh": "percent:12.5,10,20,7.25",
    }  # fmt: skip
    marker = Caller(MemberFactory())
    made = marker.post("/v1/marks", said)
    assert made.status_code == 201, made.content
    assert made.json()["xywh"] == "xywh=percent:12.5,10,20,7.25"
    assert pages(Caller(), f"/v1/photos/{photo.public_id}/marks") == [made.json()]
    assert pages(Caller(), "/v1/marks", variant=variant.public_id) == [made.json()]
    told = problem(marker.post("/v1/marks", {**said, "xywh": "percent:95,0,10,10"}), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == "/xywh"
    problem(Caller(MemberFactory()).delete(made["Location"], {"reason": "no"}), 403, "not-permitted")
    assert marker.delete(made["Location"], {"reason": "It shows the lamp."}).status_code == 204
    problem(Caller().get(made["Location"]), 404, "not-found")
    assert Mark.objects.count() == 1


def test_an_example_is_told_of_and_its_place_is_kept_coarse(scene, author):
    said = {
        "release": scene.release.public_id,
        "condition": "boxed",
        "found_month": "2025-03",
        "country": "nl",
        "region": "canal belt",
    }
    made = author.post("/v1/examples", said)
    assert made.status_code == 201, made.content
    shown = Caller().get(made["Location"]).json()
    assert (shown["owner"], shown["found_month"], shown["country"]) == (
        scene.author.public_id,
        "2025-03",
        "NL",
    )
    told = problem(
        author.post("/v1/examples", {**said, "region": "12 Quay street, 1011"}), 422, "validation-failed"
    )
    assert told["errors"][0]["pointer"] == "/region"
    assert [row["id"] for row in pages(Caller(), "/v1/examples", owner=scene.author.public_id)] == [
        shown["id"]
    ]


def test_T26_a_photo_of_anothers_draft_cannot_even_be_named(scene, author):
    photo = author.attach(jpeg(), submission=scene.draft().public_id).json()["id"]
    example = scene.example()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    said = {"example": example.public_id, "claim": claim.public_id, "xywh": "percent:0,0,10,10"}
    other = Caller(MemberFactory())
    told = [
        problem(other.post("/v1/marks", {**said, "photo": one}), 422, "validation-failed")["errors"]
        for one in (photo, mint())
    ]
    assert [(error["pointer"], error["code"]) for errors in told for error in errors] == [
        ("/photo", "unknown-reference"), ("/photo", "unknown-reference"),
    ]  # fmt: skip


def test_photos_of_a_withdrawn_draft_stay_their_owners(scene, author):
    draft = scene.draft()
    photo = author.attach(jpeg(), submission=draft.public_id).json()
    actions.withdraw_draft(submission=draft, by=scene.author, at=now())
    problem(Caller().get(f"/v1/photos/{photo['id']}"), 404, "not-found")
    assert author.get(f"/v1/photos/{photo['id']}").status_code == 200
