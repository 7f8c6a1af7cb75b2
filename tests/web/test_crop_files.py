"""What a mark shows, as a small picture of its own: WebP where it is understood, JPEG elsewhere."""

from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from PIL import Image

from registry import actions
from registry.models import Mark, Submission
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def mark():
    scene = Scene()
    base = scene.baseline()
    mark = claim_on(base, scene.crest).marks.first()
    mark.moderator = scene.moderator
    default_storage.save(mark.photo.stored_as("800"), ContentFile(jpeg(800, 533)))
    return mark


@pytest.mark.parametrize(("kind", "format"), [("webp", "WEBP"), ("jpg", "JPEG")])
def test_it_is_small_and_kept_for_an_hour(client, mark, kind, format):
    answer = client.get(f"/marks/{mark.public_id}/crop.{kind}")
    assert answer["Content-Type"] == f"image/{format.lower()}"
    assert answer["Cache-Control"] == "public, max-age=3600"
    assert answer["X-Content-Type-Options"] == "nosniff"
    with Image.open(BytesIO(answer.content)) as picture:
        assert (picture.format, picture.size) == (format, (320, 240))


def test_a_mark_on_the_very_edge_is_cut_inside_the_smaller_picture(client, mark):
    Mark.objects.filter(pk=mark.pk).update(x=7000, y=8000, w=3000, h=2000)
    assert client.get(f"/marks/{mark.public_id}/crop.webp").status_code == 200


def test_tables_and_details_show_it_lazily_with_its_size(client, mark):
    page = client.get(f"/variants/{mark.claim.variant.public_id}").text
    assert f'srcset="/marks/{mark.public_id}/crop.webp"' in page
    assert (
        f'<img src="/marks/{mark.public_id}/crop.jpg" width="320" height="240" loading="lazy" alt="anchor, close up">'
        in page
    )


def test_what_was_taken_down_removed_or_never_sent_is_not_shown(client, mark):
    address = f"/marks/{mark.public_id}/crop.jpg"
    assert client.get(f"/marks/{mark.public_id}/crop.gif").status_code == 404
    Submission.objects.filter(pk=mark.photo.submission_id).update(sent_at=None, status="draft")
    assert client.get(address).status_code == 404
    Submission.objects.filter(pk=mark.photo.submission_id).update(sent_at=now())
    assert client.get(address).status_code == 200
    actions.take_down_photo(photo=mark.photo, by=mark.moderator, at=now(), reason="A face is in it.")
    assert client.get(address).status_code == 410
    actions.remove_mark(mark=mark, by=mark.by, at=now(), reason="It shows the shadow.")
    assert client.get(address).status_code == 404
