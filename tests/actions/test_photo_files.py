"""The files of photos: what is stored, how it is served, and that it goes when a photo is taken down."""

import re
from pathlib import Path

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.http import Http404

from registry import actions
from registry.errors import AlreadyClosed, ImageRefused, InvalidField, RoleRequired
from registry.models import JournalEntry
from registry.models.evidence import files_of
from registry.queries.journal import details_as_read
from registry.web.views.files import photo_file
from tests.factories import NOON, MemberFactory, ModeratorFactory, PhotoFactory, SubmissionFactory
from tests.pictures import opened, telling_jpeg

pytestmark = pytest.mark.django_db
KEY = re.compile(r"photos/[0-9a-f]{2}/[0-9a-f]{64}-((full|800|320)\.jpg|(1600|800|320)\.webp)")
TALES = (
    b"secret",
    b"Exif",
    b"GPS",
    b"http://ns.adobe.com",
    b"8BIM",
    b"ICC_PROFILE",
    b"EXIF",
    b"XMP ",
    b"ICCP",
)
KINDS = {".jpg": ("JPEG", "image/jpeg"), "webp": ("WEBP", "image/webp")}


@pytest.fixture
def photo():
    """Of a report that has been sent."""
    return published(attach(SubmissionFactory()))


def published(photo):
    photo.submission.sent_at = NOON
    photo.submission.save()
    return photo


def asked(rf, by=None):
    request = rf.get("/media/")
    request.user = by or AnonymousUser()
    return request


@pytest.fixture
def address(settings):
    """Where the site serves pictures."""
    return settings.MEDIA_URL


def attach(submission, **fields):
    fields = {"data": telling_jpeg(6), "by": submission.author, "at": NOON, **fields}
    return actions.attach_photo(submission=submission, **fields)


def stored(settings) -> dict[str, bytes]:
    root = Path(settings.MEDIA_ROOT)
    return {str(file.relative_to(root)): file.read_bytes() for file in root.rglob("*") if file.is_file()}


def test_T14_T17_every_file_is_a_picture_named_by_the_digest_of_what_is_stored(photo, settings):
    files = stored(settings)
    assert sorted(files) == sorted(files_of(photo.digest))
    for name, content in files.items():
        assert KEY.fullmatch(name)
        assert opened(content).format == KINDS[name[-4:]][0]
    assert photo.size_bytes == len(files[photo.stored_as("full")])


def test_T16_no_stored_file_tells_where_or_by_whom_a_picture_was_taken(photo, settings):
    assert telling_jpeg(6).count(b"secret") == 6
    assert len(stored(settings)) == 6
    for name, content in stored(settings).items():
        for tale in TALES:
            assert tale not in content, (name, tale)
        assert opened(content).size == (80, 120), name  # orientation 6 is shown upright


def test_the_files_are_there_before_the_row(settings, monkeypatch):
    seen = []
    monkeypatch.setattr(
        "registry.actions.attach.enter", lambda photo, *rest: seen.append((photo.pk, stored(settings)))
    )
    attach(SubmissionFactory())
    [(key, files)] = seen
    assert key is None
    assert len(files) == 6


def test_a_file_left_half_written_by_a_crash_is_replaced(photo, settings):
    whole = stored(settings)
    default_storage.delete(photo.stored_as("full"))
    default_storage.save(photo.stored_as("full"), ContentFile(whole[photo.stored_as("full")][:100]))
    attach(SubmissionFactory())
    assert stored(settings) == whole


def test_T14_a_picture_is_served_as_nothing_but_a_picture(photo, address, client):
    for key in files_of(photo.digest):
        answer = client.get(address + key)
        assert answer.status_code == 200
        assert answer["Content-Type"] == KINDS[key[-4:]][1]
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
        assert answer["Cache-Control"] == "public, max-age=31536000, immutable"
        assert not answer.cookies
        assert opened(b"".join(answer.streaming_content)).format == KINDS[key[-4:]][0]
    assert client.post(address + photo.stored_as()).status_code == 405


@pytest.mark.parametrize(
    "key",
    [
        "../castlore.sqlite3",
        "photos/../../castlore.sqlite3",
        "..%2f..%2fcastlore.sqlite3",
        "photos/ab/" + "ab" * 32 + "-full.jpg\x00.html",
        "photos/ab/" + "ab" * 32 + "-full.jpg\n",
        "photos/ab/" + "ab" * 32 + "-1600.jpg",
        "photos/ab/" + "ab" * 32 + "-full.webp",
        "photos/ab/" + "ab" * 32 + "-800.webp",
        "photos/ab/" + "AB" * 32 + "-full.jpg",
        "photos/cd/" + "ab" * 32 + "-full.jpg",
        "photos/ab/" + "ab" * 32 + "-full.jpg",
        "x" * 4096,
    ],
)
def test_T17_no_other_path_is_served(key, rf):
    default_storage.save("photos/ab/" + "ab" * 32 + "-full.jpg", ContentFile(b"no photo names this file"))
    with pytest.raises(Http404):
        photo_file(asked(rf), key)


def test_serving_costs_one_query(photo, rf, django_assert_num_queries):
    with django_assert_num_queries(1):
        photo_file(asked(rf), photo.stored_as("320")).close()


def test_a_photo_without_its_file_is_not_found(rf):
    with pytest.raises(Http404):
        photo_file(asked(rf), published(PhotoFactory()).stored_as())


@pytest.mark.parametrize(("size", "kind"), [("full", "jpg"), ("1600", "webp")])
def test_a_picture_that_only_a_draft_holds_is_its_owners_alone(rf, size, kind):
    photo = attach(SubmissionFactory())
    key = photo.stored_as(size, kind)
    for stranger in (None, MemberFactory()):
        with pytest.raises(Http404):
            photo_file(asked(rf, stranger), key)
    answer = photo_file(asked(rf, photo.owner), key)
    assert answer["Cache-Control"] == "private, no-store"
    answer.close()


def test_a_draft_in_jpeg_alone_is_no_strangers_either(rf):
    photo = attach(SubmissionFactory())
    default_storage.delete(photo.stored_as("1600", "webp"))
    with pytest.raises(Http404):
        photo_file(asked(rf), photo.stored_as("1600", "webp"))


def test_until_it_is_drawn_in_webp_a_photo_is_shown_in_jpeg(photo, address, client):
    for size, instead in (("1600", "full"), ("800", "800"), ("320", "320")):
        default_storage.delete(photo.stored_as(size, "webp"))
        answer = client.get(address + photo.stored_as(size, "webp"))
        assert (answer.status_code, answer["Location"]) == (302, address + photo.stored_as(instead))
        assert "Cache-Control" not in answer, "tomorrow it may be there"


def test_T18_a_photo_taken_down_is_gone_with_its_files(
    photo, address, client, settings, django_capture_on_commit_callbacks
):
    moderator = ModeratorFactory()
    with django_capture_on_commit_callbacks(execute=True):
        taken = actions.take_down_photo(photo=photo, by=moderator, at=NOON, reason="  Shows a face. ")
    assert taken.taken_down_at == NOON
    assert stored(settings) == {}
    assert client.get(address + photo.stored_as()).status_code == 410
    entry = JournalEntry.objects.get(verb="photo.taken_down")
    assert (entry.by, entry.about_id) == (moderator, photo.public_id)
    told = details_as_read([entry])[entry.number]
    assert told == {"id": photo.public_id, "reason": "Shows a face.", "disputes": []}
    with pytest.raises(AlreadyClosed):
        actions.take_down_photo(photo=photo, by=moderator, at=NOON, reason="Again.")
    with pytest.raises(AlreadyClosed):
        actions.describe_photo(photo=photo, by=photo.owner, at=NOON, caption="Still here")


def test_a_picture_that_another_photo_shows_stays(photo, address, client, django_capture_on_commit_callbacks):
    published(attach(SubmissionFactory()))
    with django_capture_on_commit_callbacks(execute=True):
        actions.take_down_photo(
            photo=photo, by=ModeratorFactory(), at=NOON, reason="Not the owner's own picture."
        )
    answer = client.get(address + photo.stored_as())
    assert (answer.status_code, opened(b"".join(answer.streaming_content)).size) == (200, (80, 120))


def test_what_was_taken_down_is_not_taken_again_from_the_same_member(photo):
    actions.take_down_photo(photo=photo, by=ModeratorFactory(), at=NOON, reason="Shows a face.")
    for report in (photo.submission, SubmissionFactory(author=photo.owner)):
        with pytest.raises(ImageRefused, match="took this picture down"):
            attach(report)
    assert attach(SubmissionFactory()).taken_down_at is None  # the rightful owner may bring it


def test_only_a_moderator_takes_a_photo_down_and_says_why(photo):
    for member in (photo.owner, MemberFactory(roles=["reviewer"])):
        with pytest.raises(RoleRequired):
            actions.take_down_photo(photo=photo, by=member, at=NOON, reason="Mine.")
    with pytest.raises(InvalidField, match="reason"):
        actions.take_down_photo(photo=photo, by=ModeratorFactory(), at=NOON, reason=" ")
    photo.refresh_from_db()
    assert photo.taken_down_at is None
