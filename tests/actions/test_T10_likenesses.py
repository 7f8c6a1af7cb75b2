"""T10: a picture that was sent before is noticed and never refused; reviewers are told, and of no draft."""

from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image

from registry import actions
from registry.actions import likenesses
from registry.models import Likeness, Photo, PhotoHash, Submission
from registry.queries.likenesses import alike, lately_alike, with_likenesses
from tests.factories import NOON, MemberFactory, ReviewerFactory, SightingFactory, SubmissionFactory
from tests.pictures import jpeg, saved

pytestmark = pytest.mark.django_db
PICTURES = Path(__file__).parents[2] / "fixtures" / "pictures"
FLIP = Image.Transpose.FLIP_LEFT_RIGHT


@cache
def scene(name: str = "lg24_c_1_left") -> Image.Image:
    with Image.open(PICTURES / f"{name}.jpg") as picture:
        return picture.convert("RGB").resize((480, 320))


def attach(data: bytes, submission: Submission | None = None, **fields) -> Photo:
    submission = submission or SubmissionFactory()
    return actions.attach_photo(by=submission.author, at=NOON, data=data, submission=submission, **fields)


def send(*photos: Photo) -> None:
    """Make the reports of the photos public, as if sent."""
    for hours, photo in enumerate(photos, start=1):
        Submission.objects.filter(pk=photo.submission_id).update(sent_at=NOON + timedelta(hours=hours))


def told(photo: Photo, reader=None) -> list[tuple[str, str]] | None:
    read = with_likenesses(Photo.objects.filter(pk=photo.pk), reader or ReviewerFactory()).get()
    found = alike(read)
    return None if found is None else [(one.photo.public_id, one.words) for one in found]


def test_T10_the_same_file_is_found_at_once_across_reports_and_members():
    data = saved(scene())
    first, second = attach(data), attach(data)
    pair = Likeness.objects.get()
    assert (pair.photo, pair.earlier, pair.kind, pair.distance) == (second, first, "same_file", 0)
    send(first, second)
    assert told(second) == [(first.public_id, "This is the same file as one sent earlier by another member.")]
    assert told(first) == [(second.public_id, "This is the same file as one sent later by another member.")]
    assert [pair.photo for pair in lately_alike()] == [second]


def test_a_flat_picture_is_found_as_the_same_file_but_is_like_no_other():
    attach(jpeg(colour=(40, 110, 90)))
    attach(jpeg(colour=(40, 110, 90)))
    attach(jpeg(colour=(140, 110, 90)))
    assert list(Likeness.objects.values_list("kind", flat=True)) == ["same_file"]
    assert not PhotoHash.objects.exists()
    assert Photo.objects.filter(compared_at=NOON).count() == 3


def test_T10_copies_that_were_worked_over_are_flagged_and_kept():
    first = attach(saved(scene()))
    copies = {
        "mirrored": saved(scene().transpose(FLIP)),
        "smaller": saved(scene().resize((336, 224))),
        "coarser": saved(scene(), quality=60),
        "turned": saved(scene().transpose(Image.Transpose.ROTATE_90)),
        "cropped": saved(scene().crop((36, 24, 444, 296)), quality=60),
        "cropped at a corner": saved(scene().crop((72, 48, 480, 320))),
    }
    for how, data in copies.items():
        photo = attach(data)
        found = Likeness.objects.get(photo=photo, earlier=first)
        assert found.kind == ("like_a_part" if how.startswith("cropped") else "looks_alike"), how
        assert found.distance <= 8, how
    assert Photo.objects.count() == 7


def test_T10_two_different_cars_in_the_same_pose_pass_unrejected():
    first, second = attach(saved(scene("lg24_c_1_left"))), attach(saved(scene("lg24_d_1_left")))
    assert Photo.objects.shown().count() == 2
    assert {first.taken_down_at, second.taken_down_at} == {None}


def test_an_example_photographed_again_by_its_owner_is_not_flagged():
    first = attach(saved(scene()))
    again = SubmissionFactory(author=first.owner)
    attach(saved(scene(), quality=60), again)
    assert not Likeness.objects.exists()
    attach(saved(scene()), SubmissionFactory(author=first.owner))
    send(*Photo.objects.all())
    assert [words for _, words in told(first)] == [
        "This is the same file as one sent later by the same member."
    ]


def test_two_identical_photos_in_one_report_are_one():
    first = attach(saved(scene()))
    assert attach(saved(scene()), first.submission) == first
    assert not Likeness.objects.exists()


def test_nothing_of_a_draft_is_told_to_anybody():
    hidden, photo = attach(saved(scene())), attach(saved(scene()))
    send(photo)
    assert told(photo) == []
    assert lately_alike() == []
    send(hidden)  # by now the other was there first
    assert told(photo)[0][0] == hidden.public_id
    taken = Photo.objects.filter(pk=hidden.pk)
    taken.update(taken_down_at=NOON)
    assert told(photo) == []
    assert lately_alike() == []


def test_what_came_first_is_what_others_could_see_first():
    drafted, sent = attach(saved(scene())), attach(saved(scene()))
    send(sent, drafted)
    assert "sent later" in told(sent)[0][1]
    assert "sent earlier" in told(drafted)[0][1]


def test_only_reviewers_are_told():
    first, second = attach(saved(scene())), attach(saved(scene()))
    send(first, second)
    assert told(second, MemberFactory()) is None
    assert alike(with_likenesses(Photo.objects.all(), None)[0]) is None


def test_a_sighting_s_photo_is_compared_as_well():
    first = attach(saved(scene()))
    send(first)
    seen = SightingFactory()
    photo = actions.attach_photo(by=seen.by, at=NOON, data=saved(scene()), sighting=seen)
    assert [other for other, _ in told(photo)] == [first.public_id]


def test_a_flood_of_like_pictures_keeps_few_and_costs_the_same(monkeypatch):
    first = attach(saved(scene()))
    draft = SubmissionFactory()
    with CaptureQueriesContext(connection) as few:
        found = likenesses.likenesses(Photo(owner=draft.author), saved(scene(), quality=70))
    assert len(found.alike) == 1
    row = PhotoHash.objects.get(photo=first, tile=0)
    for n in range(30):
        copy = SubmissionFactory().photos.create(
            owner=MemberFactory(),
            digest=f"{n}",
            upload_digest=f"{n}",
            width=1,
            height=1,
            size_bytes=1,
            added_at=NOON,
        )
        row.pk, row.photo = None, copy
        row.save(force_insert=True)
    with CaptureQueriesContext(connection) as many:
        found = likenesses.likenesses(Photo(owner=draft.author), saved(scene(), quality=70))
    assert len(found.alike) == likenesses.MOST_KEPT
    assert len(many) == len(few) == 3
    monkeypatch.setattr(likenesses, "MOST_MET", 5)
    assert len(likenesses.near(found.hashes)) <= 5


def test_erasing_takes_a_draft_s_hashes_and_likenesses_along():
    first, second = attach(saved(scene())), attach(saved(scene()))
    send(second)
    actions.erase_member(by=first.owner, at=NOON)
    assert not Likeness.objects.exists()
    assert set(PhotoHash.objects.values_list("photo", flat=True)) == {second.pk}


def test_a_file_that_is_gone_is_an_error():
    photo = attach(saved(scene()))
    default_storage.delete(photo.stored_as("320"))
    Photo.objects.update(compared_at=None)
    with pytest.raises(FileNotFoundError):
        actions.compare_photo(photo=photo, at=NOON)
