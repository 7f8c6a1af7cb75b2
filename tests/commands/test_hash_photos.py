"""`manage.py hash_photos` brings older photographs in line, and can be broken off."""

from io import StringIO

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from registry.models import Likeness, Photo, PhotoHash
from tests.actions.test_T10_likenesses import attach, scene
from tests.pictures import saved

pytestmark = pytest.mark.django_db


def run(**options) -> str:
    told = StringIO()
    call_command("hash_photos", stdout=told, stderr=told, **options)
    return told.getvalue().strip()


def test_photos_of_before_are_compared_once_and_in_batches():
    attach(saved(scene()))
    attach(saved(scene(), quality=60))
    rows = list(PhotoHash.objects.order_by("photo", "tile").values_list("photo", "tile", "bits"))
    found = list(Likeness.objects.values_list("photo", "earlier", "kind"))
    PhotoHash.objects.all().delete()
    Likeness.objects.all().delete()
    Photo.objects.update(compared_at=None)
    assert run(batch=1) == "2 compared, 1 of them like another"
    assert list(PhotoHash.objects.order_by("photo", "tile").values_list("photo", "tile", "bits")) == rows
    assert list(Likeness.objects.values_list("photo", "earlier", "kind")) == found
    assert run() == "0 compared, 0 of them like another"


def test_a_missing_file_is_named_and_the_others_are_compared():
    lost, kept = attach(saved(scene())), attach(saved(scene("bo24_a_1_base")))
    PhotoHash.objects.all().delete()
    Photo.objects.update(compared_at=None)
    default_storage.delete(lost.stored_as("320"))
    with pytest.raises(CommandError, match="1 compared, .* 1 could not be read"):
        run()
    kept.refresh_from_db()
    assert kept.compared_at is not None


def test_a_batch_of_none_is_refused():
    with pytest.raises(CommandError, match="--batch is 0"):
        run(batch=0)
