"""`manage.py draw_photos` makes the WebP of older photographs, and leaves nothing of one that is taken down."""

from io import StringIO

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from registry import actions
from registry.models import Photo
from registry.models.evidence import WEBP_SIZES, files_of
from tests.factories import NOON, SubmissionFactory
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


def draw() -> str:
    told = StringIO()
    call_command("draw_photos", stdout=told, stderr=told)
    return told.getvalue().strip()


def webp_of(photo) -> dict[str, int]:
    """Bytes of each size."""
    return {size: default_storage.size(photo.stored_as(size, "webp")) for size in WEBP_SIZES}


@pytest.fixture
def older():
    """Two photos as they were kept before: in JPEG alone."""
    photos = []
    for colour in ((200, 30, 30), (30, 30, 200)):
        draft = SubmissionFactory()
        data = jpeg(1700, 1000, colour=colour)
        photos.append(actions.attach_photo(by=draft.author, at=NOON, submission=draft, data=data))
    drawn = [webp_of(photo) for photo in photos]
    for photo in photos:
        for size in WEBP_SIZES:
            default_storage.delete(photo.stored_as(size, "webp"))
    return photos, drawn


def test_older_photos_are_drawn_once_as_new_ones_are(older):
    photos, drawn = older
    assert draw() == "2 drawn"
    assert [webp_of(photo) for photo in photos] == [pytest.approx(each, rel=0.2) for each in drawn]
    assert all(photo.digest == Photo.objects.get(pk=photo.pk).digest for photo in photos)
    assert draw() == "0 drawn"


def test_a_missing_file_is_named_and_the_others_are_drawn(older):
    (lost, kept), _ = older
    default_storage.delete(lost.stored_as())
    with pytest.raises(CommandError, match="1 drawn; 1 could not be"):
        draw()
    assert set(webp_of(kept)) == set(WEBP_SIZES)


def test_T18_of_a_photo_taken_down_while_it_is_drawn_nothing_stays(older, monkeypatch):
    (photo, _), _ = older
    from registry.actions import photo_files

    def meanwhile(*given):
        Photo.objects.filter(pk=photo.pk).update(taken_down_at=NOON)
        return decoded(*given)

    decoded = photo_files.decoded
    monkeypatch.setattr(photo_files, "decoded", meanwhile)
    actions.draw_photo(photo=photo)
    assert not any(map(default_storage.exists, files_of(photo.digest)))
