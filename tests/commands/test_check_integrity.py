"""`check_integrity`: silent about what is whole, exit 1 and a name for what is not."""

import io
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from registry import actions
from registry.management.integrity import CHECKS, QUICK
from registry.models import Edition, JournalSecret, Photo, Submission, Variant
from tests.actions.bending import bend
from tests.factories import MemberFactory
from tests.path import Scene, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def registry(django_capture_on_commit_callbacks):
    """An edition, a photograph with its files, and a line with personal words."""
    scene = Scene()
    scene.baseline()
    Photo.objects.update(taken_down_at=now())  # pictures of the factories have no files
    with django_capture_on_commit_callbacks(execute=True):
        actions.publish_edition(by=scene.moderator, at=now())
    draft = scene.draft()
    actions.attach_photo(by=draft.author, at=now(), submission=draft, data=jpeg())
    actions.suspend(member=MemberFactory(), by=scene.moderator, reason="Too loud.", at=now())
    return scene


def check(*options: str) -> tuple[str, str, bool]:
    """What it said, what it complained of, and whether all was well."""
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("check_integrity", *options, stdout=out, stderr=err)
    except CommandError as fault:
        return out.getvalue(), f"{err.getvalue()}{fault}", False
    return out.getvalue(), err.getvalue(), True


def test_all_is_counted_aloud_and_well(registry):
    said, complained, well = check()
    assert well, complained
    assert complained == ""
    assert said.count("all as written") == len(CHECKS)
    assert "1 editions" in said
    assert "1 photos" in said
    assert "Nothing has been bent." in said


def test_quick_reads_no_files(registry):
    Path(default_storage.path(Photo.objects.get(taken_down_at=None).stored_as())).unlink()
    said, _, well = check("--quick")
    assert well
    assert said.count("all as written") == len(QUICK)
    assert not check()[2]


def test_the_first_bad_line_of_the_journal_is_named(registry):
    bend("UPDATE {table} SET verb = 'vote.withdrawn' WHERE number IN (7, 9)")
    _, complained, well = check("--quick")
    assert not well
    assert "line 7 is changed" in complained
    assert "line 9" not in complained


def test_a_journal_cut_before_the_last_edition_is_named_with_that_edition(registry):
    JournalSecret.objects.all().delete()
    bend("DELETE FROM {table} WHERE number > 5")
    _, complained, well = check("--quick")
    assert not well
    assert "line 6 is cut off" in complained
    assert "List no. 1 vouches" in complained


def test_other_words_in_the_place_of_personal_ones_are_named(registry):
    JournalSecret.objects.update(value="Kind and quiet.")
    _, complained, well = check("--quick")
    assert not well
    assert "reason is not what the line commits to" in complained


@pytest.mark.parametrize(("table", "column", "value", "says"), [
    ("registry_revision", "title", "Another", "is not as written"),
    ("registry_publicationentry", "record", "{}", "does not have the digest"),
    ("registry_edition", "document", "{}", "edition.json is not what it was"),
])  # fmt: skip
def test_a_bent_row_is_named(registry, table, column, value, says):
    bend("UPDATE {table} SET {column} = %s", value, table=table, column=column)
    _, complained, well = check()
    assert not well
    assert says in complained


def test_a_record_that_was_changed_under_its_digest_is_named(registry):
    variant = Variant.objects.get()
    Variant.objects.update(record=variant.record.replace("verified", "provisional"))
    _, complained, well = check()
    assert not well
    assert f"the record of {variant.public_id}" in complained


def test_a_changed_file_of_an_edition_is_named(registry):
    path = actions.edition_file(Edition.objects.get(), "variants.csv")
    path.write_bytes(path.read_bytes() + b"x")
    _, complained, well = check()
    assert not well
    assert "List no. 1: variants_csv" in complained


def test_a_swapped_picture_is_named(registry):
    photo = Photo.objects.get(taken_down_at=None)
    default_storage.delete(photo.stored_as())
    default_storage.save(photo.stored_as(), ContentFile(b"another"))
    _, complained, well = check()
    assert not well
    assert f"photo {photo.public_id}: its file is another picture" in complained


def test_an_empty_registry_is_whole():
    assert not Submission.objects.exists()
    said, _, well = check()
    assert well
    assert "0 journal lines: all as written" in said
