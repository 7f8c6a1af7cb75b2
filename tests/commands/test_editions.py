"""publish_edition, verify_edition and export."""

import gzip
import json
import shutil
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from registry import actions
from registry.models import Edition
from tests.factories import MemberFactory
from tests.path import Scene, now

pytestmark = pytest.mark.django_db


def said(command: str, *words: str) -> str:
    out = StringIO()
    call_command(command, *words, stdout=out, stderr=out)
    return out.getvalue()


@pytest.fixture
def scene():
    scene = Scene()
    scene.baseline()
    return scene


@pytest.fixture
def two(scene):
    """The folders of two editions; the second has one variant more."""
    first = actions.publish_edition(by=scene.moderator, at=now())
    scene.change(scene.release.variants.get(), scene.gull)
    second = actions.publish_edition(by=scene.moderator, at=now())
    return [actions.edition_file(edition, "edition.json").parent for edition in (first, second)]


def test_publishing_says_what_was_published_and_where(scene):
    out = said("publish_edition", "--by", scene.moderator.email)
    edition = Edition.objects.get()
    assert out.startswith("List no. 1: 1 variants, in ")
    assert edition.digest in out
    assert edition.issued_by == scene.moderator


def test_publishing_needs_a_moderator(scene):
    member = MemberFactory()
    with pytest.raises(CommandError, match="Only a moderator"):
        said("publish_edition", "--by", member.email)
    with pytest.raises(CommandError, match="Nobody has an account under 'who@example.test'"):
        said("publish_edition", "--by", "who@example.test")
    assert not Edition.objects.exists()


def test_publishing_again_without_a_change_is_refused(scene):
    said("publish_edition", "--by", scene.moderator.email)
    with pytest.raises(CommandError, match="has changed since the last edition"):
        said("publish_edition", "--by", scene.moderator.email)


def test_a_whole_edition_is_verified_by_number_and_by_folder(two):
    assert "1 records, all as stated" in said("verify_edition", "1")
    assert "It follows the edition before it: 1 new, 0 changed, 0 gone." in said("verify_edition", "2")
    assert "2 records, all as stated" in said("verify_edition", str(two[1]), "--previous", str(two[0]))


def test_an_edition_whose_file_was_touched_fails(two):
    packed = two[1] / "variants.ndjson.gz"
    lines = gzip.decompress(packed.read_bytes())
    packed.write_bytes(gzip.compress(lines.replace(b"gull", b"crow")))
    with pytest.raises(CommandError, match=r"\d things are wrong"):
        said("verify_edition", str(two[1]))


def test_a_file_packed_otherwise_is_found_out_by_number_alone(two):
    packed = two[1] / "variants.ndjson.gz"
    packed.write_bytes(gzip.compress(gzip.decompress(packed.read_bytes()), 1, mtime=7))
    assert "all as stated" in said("verify_edition", str(two[1]))
    out = StringIO()
    with pytest.raises(CommandError, match="1 thing is wrong"):
        call_command("verify_edition", "2", stdout=out, stderr=out)
    assert "variants.ndjson.gz is not what the publication log gives" in out.getvalue()


def test_an_edition_that_does_not_follow_the_one_given_fails(two):
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("verify_edition", str(two[0]), previous=str(two[1]), stdout=out, stderr=out)
    assert "it does not follow List no. 2 as given" in out.getvalue()
    assert "1 records have left the list in silence" in out.getvalue()


@pytest.mark.parametrize(
    "line", ["not json", "[]", '{"no": "id"}'], ids=["not json", "not an object", "no id"]
)
def test_a_record_that_is_none_is_a_fault_and_no_crash(two, line):
    (two[1] / "variants.ndjson.gz").write_bytes(gzip.compress(line.encode() + b"\n"))
    with pytest.raises(CommandError, match="wrong"):
        said("verify_edition", str(two[1]))


def test_a_missing_or_broken_file_is_named(two, tmp_path):
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(CommandError, match=r"empty/edition\.json cannot be read"):
        said("verify_edition", str(empty))
    copy = tmp_path / "copy"
    shutil.copytree(two[0], copy)
    (copy / "variants.ndjson.gz").write_bytes(b"no gzip")
    with pytest.raises(CommandError, match=r"variants\.ndjson\.gz cannot be read"):
        said("verify_edition", str(copy))


def test_a_number_that_was_never_published_is_refused(scene):
    with pytest.raises(CommandError, match="There is no List no. 1 here. None has been published yet"):
        said("verify_edition", "1")
    said("publish_edition", "--by", scene.moderator.email)
    with pytest.raises(CommandError, match="There is no List no. 5 here. The latest is List no. 1"):
        said("verify_edition", "5")


def test_the_export_holds_verified_variants_alone(scene):
    verified = scene.release.variants.get()
    scene.report(scene.gull, base=verified)
    [line] = said("export").splitlines()
    assert json.loads(line)["id"] == verified.public_id
    assert line == verified.record
    rows = said("export", "--format", "csv").split("\r\n")
    assert rows[0].startswith('"id","revision"')
    assert len(rows) == 4  # a header, two claims, and the end of the last row
    assert all(verified.public_id in row for row in rows[1:3])


def test_the_export_can_be_written_to_a_file(scene, tmp_path):
    file = tmp_path / "list.ndjson"
    assert "1 verified variants written to" in said("export", "--output", str(file))
    assert file.read_text() == scene.release.variants.get().record + "\n"
    with pytest.raises(CommandError, match="--output: .* cannot be written"):
        said("export", "--output", str(tmp_path / "nowhere" / "list.ndjson"))
