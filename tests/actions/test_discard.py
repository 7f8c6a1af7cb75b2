"""A wrong picture is taken out of a draft, and of nothing else."""

import pytest
from django.core.files.storage import default_storage

from registry import actions
from registry.errors import AlreadyClosed, NotFound
from registry.models import Photo
from tests.factories import NOON, MemberFactory, PhotoFactory
from tests.path import Scene, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def drafted(scene, colour=(90, 110, 40)):
    draft = scene.draft()
    return draft, actions.attach_photo(by=scene.author, at=now(), submission=draft, data=jpeg(colour=colour))


def test_it_goes_with_its_marks_and_files_and_the_others_stay(scene, django_capture_on_commit_callbacks):
    draft, wrong = drafted(scene)
    right = actions.attach_photo(by=scene.author, at=now(), submission=draft, data=jpeg(colour=(9, 9, 9)))
    said = {
        "photos": [{"photo": wrong.public_id}, {"photo": right.public_id}, "a stray word"],
        "marks": [{"photo": wrong.public_id, "xywh": "percent:1,1,1,1"}],
        "title": "Gull",
    }
    draft = actions.edit_draft(submission=draft, by=scene.author, at=now(), content=said)
    with django_capture_on_commit_callbacks(execute=True):
        left = actions.discard_photo(photo=wrong, by=scene.author, at=now())
    assert list(draft.photos.all()) == [right]
    assert left.content == {
        "photos": [{"photo": right.public_id}, "a stray word"],
        "marks": [],
        "title": "Gull",
    }
    assert left.revision == draft.revision + 1
    assert not default_storage.exists(wrong.stored_as())
    assert default_storage.exists(right.stored_as())


def test_the_same_picture_in_another_report_keeps_its_files(scene, django_capture_on_commit_callbacks):
    _, here = drafted(scene)
    _, there = drafted(scene)
    with django_capture_on_commit_callbacks(execute=True):
        actions.discard_photo(photo=here, by=scene.author, at=now())
    assert default_storage.exists(there.stored_as())


def test_another_member_finds_no_such_draft(scene):
    _, photo = drafted(scene)
    with pytest.raises(NotFound):
        actions.discard_photo(photo=photo, by=MemberFactory(), at=now())
    assert Photo.objects.filter(pk=photo.pk).exists()


def test_what_was_sent_stays(scene):
    sent = PhotoFactory(submission__author=scene.author, submission__status="withdrawn")
    with pytest.raises(AlreadyClosed):
        actions.discard_photo(photo=sent, by=scene.author, at=now())
    with pytest.raises(NotFound):
        actions.discard_photo(
            photo=PhotoFactory(submission=None, owner=scene.author), by=scene.author, at=now()
        )
    assert Photo.objects.count() == 2


def test_a_picture_that_was_taken_down_is_kept_so_that_it_cannot_come_again(scene):
    _, photo = drafted(scene)
    Photo.objects.filter(pk=photo.pk).update(taken_down_at=NOON)
    with pytest.raises(AlreadyClosed):
        actions.discard_photo(photo=photo, by=scene.author, at=now())
