"""Attaching photos and naming the examples that they show."""

import hashlib
import json
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from threading import Barrier

import pytest
from django.db import connection

from registry import actions
from registry.errors import (
    AccountClosed,
    AlreadyClosed,
    IdentityMoved,
    ImageRefused,
    InvalidField,
    NotFound,
    NotPermitted,
)
from registry.models import Dispute, JournalEntry, Photo, Submission
from tests.factories import (
    NOON,
    ExampleFactory,
    MemberFactory,
    SightingFactory,
    SubmissionFactory,
    VariantFactory,
)
from tests.path import Scene, claim_on, now
from tests.pictures import exif, jpeg, telling_jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft():
    return SubmissionFactory()


def sent(**fields):
    """A report that has been sent, on a variant of its own."""
    variant = VariantFactory()
    return SubmissionFactory(release=variant.release, variant=variant, status="sent", sent_at=NOON, **fields)


def attach(submission, data=None, **fields):
    fields = {"by": submission.author, "at": NOON, **fields}
    return actions.attach_photo(data=data or jpeg(), submission=submission, **fields)


def line(verb: str) -> JournalEntry:
    return JournalEntry.objects.get(verb=verb)


def test_a_photo_is_kept_with_what_is_known_of_it(draft):
    upload = telling_jpeg(orientation=6, width=1200, height=800)
    photo = attach(
        draft, upload, views=["rivets", "base"], caption="  Base,  both rivets ", licence="CC0-1.0"
    )
    photo.refresh_from_db()
    assert (photo.submission, photo.owner, photo.added_at) == (draft, draft.author, NOON)
    assert (photo.width, photo.height) == (800, 1200)
    assert (photo.views, photo.caption, photo.licence) == (["base", "rivets"], "Base, both rivets", "CC0-1.0")
    assert photo.upload_digest == hashlib.sha256(upload).hexdigest()
    assert photo.captured_on == date(2026, 3, 9)


def test_the_journal_says_whose_it_is_and_what_it_shows_but_not_when_it_was_taken(draft):
    example = ExampleFactory(release=draft.release, owner=draft.author)
    photo = attach(draft, telling_jpeg(), examples=[example], views=["rivets"])
    entry = line("photo.attached")
    assert (entry.by, entry.about_kind, entry.about_id, entry.at) == (
        draft.author,
        "photo",
        photo.public_id,
        NOON,
    )
    assert entry.detail == {
        "id": photo.public_id,
        "owner": draft.author.public_id,
        "examples": [example.public_id],
        "views": ["rivets"],
        "submission": draft.public_id,
        "dispute": None,
        "release": None,
        "bars": [],
    }
    assert "2026-03" not in json.dumps(entry.detail)


def test_a_photo_added_to_a_sent_report_names_its_release_and_bars_its_owner_from_the_claims():
    scene = Scene()
    variant = scene.report(scene.anchor, scene.red)
    report = variant.submissions.get()
    attach(report, at=now())
    detail = line("photo.attached").detail
    assert detail["release"] == scene.release.public_id
    assert detail["bars"] == list(report.claims.order_by("pk").values_list("public_id", flat=True)) != []


def test_a_camera_day_that_has_not_come_is_forgotten(draft):
    tomorrow = (NOON + timedelta(days=1)).strftime("%Y:%m:%d 08:00:00")
    assert attach(draft, jpeg(exif=exif(taken=tomorrow))).captured_on is None
    assert attach(draft, jpeg(90, 90, exif=exif(taken="2026:06:01 08:00:00"))).captured_on == NOON.date()


@pytest.mark.parametrize("data", [b"", b"<svg/>", b"\xff\xd8\xff<html>", b"GIF89a"])
def test_T15_a_file_that_is_no_picture_leaves_nothing_behind(draft, data, settings):
    with pytest.raises(ImageRefused) as refusal:
        actions.attach_photo(by=draft.author, at=NOON, submission=draft, data=data)
    assert (refusal.value.field, refusal.value.code) == ("data", "image-refused")
    assert not Photo.objects.exists()
    assert not JournalEntry.objects.exists()
    assert not settings.MEDIA_ROOT.exists()


def test_T13_the_limits_come_from_the_settings(draft, settings):
    settings.CASTLORE_PHOTO_MAX_PIXELS = 120 * 80 - 1
    with pytest.raises(ImageRefused, match="120 x 80 pixels"):
        attach(draft)
    settings.CASTLORE_PHOTO_MAX_PIXELS, settings.CASTLORE_PHOTO_MAX_BYTES = 120 * 80, len(jpeg()) - 1
    with pytest.raises(ImageRefused, match="MB"):
        attach(draft)


def test_the_same_picture_again_in_the_same_report_is_the_same_photo(draft):
    first = attach(draft)
    assert attach(draft, views=["base"]) == first
    assert attach(draft, jpeg(exif=exif())) == first  # other notes, same picture
    assert Photo.objects.count() == JournalEntry.objects.count() == 1
    other = SubmissionFactory(author=draft.author)
    assert attach(other) != first


@pytest.mark.django_db(transaction=True)
def test_the_same_picture_sent_twice_at_once_is_one_photo(draft):
    together, upload = Barrier(4), jpeg()

    def send(_: int) -> int:
        together.wait()
        try:
            return attach(Submission.objects.get(pk=draft.pk), upload).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        photos = set(pool.map(send, range(4)))
    assert photos == {Photo.objects.get().pk}


def test_a_photo_hangs_on_exactly_one_thing(draft):
    sighting = SightingFactory(by=draft.author)
    for parents in ({}, {"submission": draft, "sighting": sighting}):
        with pytest.raises(InvalidField, match="exactly one"):
            actions.attach_photo(by=draft.author, at=NOON, data=jpeg(), **parents)


def test_only_the_author_adds_to_a_report_and_a_foreign_draft_does_not_exist(draft, settings):
    stranger = MemberFactory()
    with pytest.raises(NotFound):
        attach(draft, by=stranger)
    with pytest.raises(NotPermitted, match="author"):
        attach(sent(), by=stranger)
    assert not Photo.objects.exists()
    assert not settings.MEDIA_ROOT.exists()  # refused before anything is decoded and stored


def test_nothing_is_added_to_what_has_ended():
    with pytest.raises(AlreadyClosed, match="withdrawn"):
        attach(SubmissionFactory(status="withdrawn"))
    sighting = SightingFactory(withdrawn_at=NOON)
    with pytest.raises(AlreadyClosed, match="taken back"):
        actions.attach_photo(by=sighting.by, at=NOON, data=jpeg(), sighting=sighting)
    report = sent()
    report.variant.standing = "struck"
    report.variant.save()
    with pytest.raises(IdentityMoved):
        attach(report)


def test_a_report_withdrawn_while_the_picture_was_decoded_takes_no_photo(draft):
    stale = Submission.objects.get(pk=draft.pk)
    actions.withdraw_draft(submission=draft, by=draft.author, at=NOON)
    with pytest.raises(AlreadyClosed):
        attach(stale)
    assert not Photo.objects.exists()


def test_a_suspended_member_attaches_nothing(draft):
    draft.author.is_active = False
    draft.author.save()
    with pytest.raises(AccountClosed):
        attach(draft)


def test_who_reported_a_sighting_adds_its_photos():
    sighting = SightingFactory()
    with pytest.raises(NotPermitted, match="reported"):
        actions.attach_photo(by=MemberFactory(), at=NOON, data=jpeg(), sighting=sighting)
    photo = actions.attach_photo(by=sighting.by, at=NOON, data=jpeg(), sighting=sighting)
    assert photo.sighting == sighting
    assert line("photo.attached").detail["release"] == sighting.release.public_id


def test_any_member_adds_a_photo_to_an_open_dispute_and_it_contests_the_claim_from_then_on():
    scene = Scene()
    variant = scene.baseline()
    dispute = actions.open_dispute(
        claim=claim_on(variant, scene.crest),
        state=scene.gull,
        by=MemberFactory(),
        at=now(),
        reason="It is a gull.",
    )
    assert not dispute.contests
    photo = actions.attach_photo(by=scene.author, at=now(), data=jpeg(), dispute=dispute)
    dispute.refresh_from_db()
    variant.refresh_from_db()
    assert (dispute.contests, variant.standing) == (True, "contested")
    assert line("dispute.photo_added").detail == {"id": dispute.public_id}
    detail = line("photo.attached").detail
    assert (detail["dispute"], detail["submission"]) == (dispute.public_id, None)
    assert detail["bars"] == [dispute.rival.public_id]
    actions.attach_photo(by=MemberFactory(), at=now(), data=jpeg(90, 60), dispute=dispute)
    assert JournalEntry.objects.filter(verb="dispute.photo_added").count() == 1

    actions.take_down_photo(photo=photo, by=scene.moderator, at=now(), reason="Shows a face.")
    dispute.refresh_from_db()
    assert dispute.contests  # by the other photo
    actions.take_down_photo(photo=dispute.photos.last(), by=scene.moderator, at=now(), reason="As well.")
    dispute.refresh_from_db()
    assert not dispute.contests
    downs = JournalEntry.objects.filter(verb="photo.taken_down").order_by("pk")
    assert [entry.detail["disputes"] for entry in downs] == [[], [dispute.public_id]]


def test_a_closed_dispute_takes_no_photo():
    scene = Scene()
    dispute = actions.open_dispute(
        claim=claim_on(scene.report(scene.anchor), scene.crest),
        state=scene.gull,
        by=scene.author,
        at=now(),
        reason="No.",
    )
    stale = Dispute.objects.get(pk=dispute.pk)
    actions.withdraw_dispute(dispute=dispute, by=scene.author, at=now())
    for known in (dispute, stale):
        with pytest.raises(AlreadyClosed):
            actions.attach_photo(by=scene.author, at=now(), data=jpeg(), dispute=known)
    assert not Photo.objects.exists()


@pytest.mark.parametrize(
    ("fields", "name"),
    [
        ({"views": ["underside"]}, "views"),
        ({"views": "base"}, "views"),
        ({"caption": "a" * 201}, "caption"),
        ({"caption": "roof\x00crest"}, "caption"),
        ({"licence": "all rights"}, "licence"),
    ],
)
def test_what_is_said_of_a_photo_is_checked(draft, fields, name):
    with pytest.raises(InvalidField) as refusal:
        attach(draft, **fields)
    assert refusal.value.field == name
