"""A photograph is taken down, and shown again: what it proved, its files, its addresses, and the lists before it."""

import hashlib
from io import StringIO

import pytest
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import IntegrityError, transaction

from registry import actions
from registry.errors import AlreadyClosed, ImageRefused, InvalidField, RoleRequired
from registry.models import JournalEntry, Photo
from registry.models.evidence import files_of
from registry.queries.journal import details_as_read
from tests.actions.yard import Yard, as_stored, by_journal, picture
from tests.factories import NOON, MemberFactory, ModeratorFactory, PhotoFactory, SubmissionFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg, opened

pytestmark = pytest.mark.django_db


def attached():
    """A photo of a report that has been sent; always of the same picture."""
    draft = SubmissionFactory()
    photo = actions.attach_photo(by=draft.author, at=NOON, submission=draft, data=jpeg())
    draft.sent_at = NOON
    draft.save()
    return photo


@pytest.fixture
def photo():
    return attached()


@pytest.fixture
def down(photo, django_capture_on_commit_callbacks):
    def take_down(**how):
        with django_capture_on_commit_callbacks(execute=True):
            return actions.take_down_photo(
                photo=photo, by=ModeratorFactory(), at=NOON, reason="Not hers.", **how
            )

    return take_down


def restore(photo, **how):
    return actions.restore_photo(
        **{"photo": photo, "by": ModeratorFactory(), "at": NOON, "reason": "A counter-notice.", **how}
    )


def test_T18_old_lists_verify_after_a_takedown_and_the_next_one_says_what_stands_now(
    django_capture_on_commit_callbacks,
):
    scene = Scene()
    base = scene.baseline()
    variant = scene.change(base, scene.gull)
    assert variant.standing == "verified"
    first = actions.publish_edition(by=scene.moderator, at=now())
    before = actions.edition_file(first, "variants.csv").read_bytes()
    shown = Photo.objects.filter(marks__claim=claim_on(variant, scene.crest)).distinct().order_by("pk")
    for each in shown:
        with django_capture_on_commit_callbacks(execute=True):
            actions.take_down_photo(
                photo=each, by=scene.moderator, at=now(), reason="A legal demand.", legal=True
            )
    variant.refresh_from_db()
    assert variant.standing == "provisional", "what it was verified by is gone"
    second = actions.publish_edition(by=scene.moderator, at=now())
    assert b"verified" in next(line for line in before.splitlines() if variant.public_id.encode() in line)
    after = actions.edition_file(second, "variants.csv").read_bytes()
    assert b"provisional" in next(line for line in after.splitlines() if variant.public_id.encode() in line)
    assert actions.edition_file(first, "variants.csv").read_bytes() == before
    for number in (1, 2):
        said = StringIO()
        call_command("verify_edition", str(number), stdout=said, stderr=said)
        assert "all as stated" in said.getvalue()


def test_T18_a_legal_demand_answers_451_and_takes_every_photo_of_the_picture(photo, down, client, settings):
    twin = attached()
    assert (twin.digest, twin.owner) != (photo.digest, photo.owner)
    down(legal=True)
    for each in (photo, twin):
        each.refresh_from_db()
        assert (each.taken_down_at, each.withheld_by_law) == (NOON, True)
        assert client.get(f"/photos/{each.public_id}").status_code == 451
    for key in files_of(photo.digest):
        assert not default_storage.exists(key)
        assert client.get(settings.MEDIA_URL + key).status_code == 451
    assert JournalEntry.objects.filter(verb="photo.taken_down").count() == 2
    with pytest.raises(ImageRefused, match="took this picture down"):
        attached()


def test_T18_without_a_legal_demand_it_is_410_and_only_this_photo_goes(photo, down, client, settings):
    twin = attached()
    down()
    assert client.get(f"/photos/{photo.public_id}").status_code == 410
    assert client.get(f"/photos/{twin.public_id}").status_code == 200
    answer = client.get(settings.MEDIA_URL + photo.stored_as())
    assert opened(b"".join(answer.streaming_content)).format == "JPEG"
    assert restore(photo).taken_down_at is None, "the files are here: nothing need be sent"


def test_T18_a_counter_notice_restores_with_the_very_file_and_no_other(
    photo, down, client, settings, django_capture_on_commit_callbacks
):
    down(legal=True)
    for data, why in (
        (None, "files are gone"),
        (jpeg(colour=(1, 2, 3)), "another picture"),
        (b"%PDF", "PDF"),
    ):
        with pytest.raises(ImageRefused, match=why):
            restore(photo, data=data)
        photo.refresh_from_db()
        assert photo.taken_down_at
    assert not default_storage.exists(photo.stored_as())
    with django_capture_on_commit_callbacks(execute=True):
        restore(photo, data=jpeg())
    again = Photo.objects.get(pk=photo.pk)
    assert (again.taken_down_at, again.withheld_by_law, again.restored_at) == (None, False, NOON)
    assert again.digest == photo.digest
    answer = client.get(settings.MEDIA_URL + photo.stored_as())
    assert opened(b"".join(answer.streaming_content)).size == (120, 80)
    entry = JournalEntry.objects.get(verb="photo.restored")
    told = details_as_read([entry])[entry.number]
    assert told == {"id": photo.public_id, "reason": "A counter-notice.", "disputes": []}
    with pytest.raises(AlreadyClosed):
        restore(photo, data=jpeg())


def test_an_upload_that_a_newer_decoder_draws_otherwise_is_still_the_same_upload(down, photo):
    down()
    Photo.objects.filter(pk=photo.pk).update(digest="ab" * 32, size_bytes=1)
    photo.refresh_from_db()
    restored = restore(photo, data=jpeg())
    assert restored.digest != "ab" * 32
    assert default_storage.size(restored.stored_as()) == restored.size_bytes


def test_only_a_moderator_restores_and_says_why(down, photo):
    down()
    for member in (photo.owner, MemberFactory(roles=["reviewer"])):
        with pytest.raises(RoleRequired):
            restore(photo, by=member, data=jpeg())
    with pytest.raises(InvalidField, match="reason"):
        restore(photo, reason=" ", data=jpeg())
    photo.refresh_from_db()
    assert photo.taken_down_at


def test_what_a_restored_photo_proves_is_the_same_after_a_replay():
    yard = Yard()
    base = yard.report(yard.gull_states[0])
    photo = yard.show(base)
    yard.show(base)
    upload = picture()
    Photo.objects.filter(pk=photo.pk).update(upload_digest=hashlib.sha256(upload).hexdigest())
    yard.moderate("take_down_photo", photo=photo, reason="A face is in it.")
    assert claim_on(base, yard.crest).examples_shown == 1
    yard.moderate(
        "restore_photo", photo=Photo.objects.get(pk=photo.pk), reason="It is a mirror.", data=upload
    )
    assert claim_on(base, yard.crest).examples_shown == 2
    assert as_stored(yard.release) == by_journal(yard.release)


def test_a_dispute_contests_again_once_its_photo_is_back():
    yard = Yard()
    base = yard.baseline()
    dispute = actions.open_dispute(
        claim=claim_on(base, yard.crest), state=yard.gull_states[1], by=yard.collectors[1], reason="A gull.",
        at=now(),
    )  # fmt: skip
    upload = picture()
    photo = actions.attach_photo(by=yard.collectors[1], at=now(), data=upload, dispute=dispute)
    yard.moderate("take_down_photo", photo=photo, reason="A face is in it.")
    base.refresh_from_db()
    assert base.standing == "verified"
    yard.moderate("restore_photo", photo=photo, reason="It is a mirror.", data=upload)
    base.refresh_from_db()
    assert base.standing == "contested"
    assert as_stored(yard.release) == by_journal(yard.release)


def test_the_database_itself_withholds_only_what_is_taken_down():
    with pytest.raises(IntegrityError, match="photo_withheld_is_taken_down"), transaction.atomic():
        PhotoFactory(withheld_by_law=True)
