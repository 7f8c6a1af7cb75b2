"""Files that no photo shows are removed after a day; missing ones are reported."""

import os
import time
from datetime import timedelta
from io import StringIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.utils import timezone

from registry import actions
from registry.models import Photo
from registry.models.evidence import files_of
from tests.factories import NOON, SubmissionFactory
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db
DAY = timedelta(hours=24, minutes=1)


def attach(data=None):
    draft = SubmissionFactory()
    return actions.attach_photo(by=draft.author, at=NOON, submission=draft, data=data or jpeg())


def age(key: str, hours: float) -> None:
    then = time.time() - 3600 * hours
    os.utime(default_storage.path(key), (then, then))


def sweep(*words: str) -> str:
    out = StringIO()
    call_command("sweep_photos", *words, stdout=out, stderr=out)
    return out.getvalue()


def test_T58_killed_between_file_and_row_there_is_no_row_and_the_orphan_is_swept_after_a_day(monkeypatch):
    def killed(*given):
        raise SystemExit

    monkeypatch.setattr("registry.actions.attach.enter", killed)
    with pytest.raises(SystemExit):
        attach(jpeg(colour=(9, 9, 9)))
    assert not Photo.objects.exists()
    folder = default_storage.listdir("photos")[0][0]
    keys = [f"photos/{folder}/{name}" for name in default_storage.listdir(f"photos/{folder}")[1]]
    assert len(keys) == 6
    assert "6 files: 0 removed, 6 younger than a day" in sweep()
    for key in keys:
        age(key, 24.1)
    assert "6 files: 6 would be removed" in sweep("--dry-run")
    assert all(map(default_storage.exists, keys))
    assert "6 files: 6 removed, 0 younger" in sweep()
    assert not any(map(default_storage.exists, keys))
    assert "0 files" in sweep()


def test_T58_what_a_photo_shows_stays_however_old_and_what_was_taken_down_goes():
    kept, down = attach(), attach(jpeg(colour=(9, 9, 9)))
    for photo in (kept, down):
        for key in files_of(photo.digest):
            age(key, 1000)
    Photo.objects.filter(pk=down.pk).update(taken_down_at=NOON)  # its files were never dropped
    default_storage.save("photos/zz/not-a-picture.txt", ContentFile(b"x"))
    age("photos/zz/not-a-picture.txt", 1000)
    assert "13 files: 7 removed" in sweep()
    assert all(map(default_storage.exists, files_of(kept.digest)))
    assert not default_storage.exists(down.stored_as())


def test_T58_missing_files_are_named_and_the_command_fails():
    photo = attach()
    default_storage.delete(photo.stored_as("320"))
    with pytest.raises(CommandError, match="1 files are missing"):
        sweep()
    swept = actions.sweep_photos(at=timezone.now())
    assert swept.missing == [photo.stored_as("320")]


def test_T58_files_dropped_while_the_row_is_written_are_stored_again(django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        photo = attach()
        for size in ("full", "800", "320"):
            default_storage.delete(photo.stored_as(size))
    assert actions.sweep_photos(at=timezone.now() + DAY).missing == []


def test_sweeping_costs_a_fixed_number_of_queries_per_folder(django_assert_num_queries):
    attach()
    with django_assert_num_queries(2):
        actions.sweep_photos(at=timezone.now())


def test_without_any_picture_there_is_nothing_to_sweep():
    assert "0 files: 0 removed, 0 younger than a day" in sweep()
