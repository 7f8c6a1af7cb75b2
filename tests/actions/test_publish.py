"""Editions: what they list, that nothing leaves in silence, and that their files are always built the same."""

import gzip
import json

import pytest

from registry import actions
from registry.errors import EditionUnchanged, NotFound
from registry.methods.canon import leaf_digest, whole_digest
from registry.models import Edition, PublicationEntry, Variant
from tests.path import Scene, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def publish(scene):
    return actions.publish_edition(by=scene.moderator, at=now())


def lines(edition):
    data = actions.edition_file(edition, "variants.ndjson.gz").read_bytes()
    return [json.loads(line) for line in gzip.decompress(data).splitlines()]


def test_listed_is_what_is_verified_contested_or_set_apart(scene):
    base = scene.baseline()
    error = scene.change(base, scene.gull, cause="factory_error")
    waiting = scene.report(scene.blue, base=base)
    edition = publish(scene)
    listed = {line["id"]: line["standing"] for line in lines(edition)}
    assert listed == {base.public_id: "verified", error.public_id: "set_apart"}
    assert waiting.public_id not in listed
    assert (edition.number, edition.count, edition.previous) == (1, 2, None)


def test_what_was_listed_stays_with_its_new_standing(scene):
    base = scene.baseline()
    publish(scene)
    for reviewer in scene.reviewers[:3]:
        claim = base.claims.get(trait=scene.crest)
        actions.withdraw_vote(claim=claim, by=reviewer, at=now())
    second = publish(scene)
    assert [line["standing"] for line in lines(second)] == ["provisional"]
    assert PublicationEntry.objects.get(edition_number=2).kind == "changed"


def test_a_variant_that_is_gone_is_said_to_have_ended(scene):
    base = scene.baseline()
    publish(scene)
    said = {"variant": base, "by": scene.moderator, "reason": "A fake."}
    actions.strike_variant(**said, at=now(), reason_code="hoax")
    ended = publish(scene)
    assert PublicationEntry.objects.get(edition_number=2).kind == "ended"
    assert [(line["standing"], line["reason_code"]) for line in lines(ended)] == [("struck", "hoax")]
    assert "claims" not in lines(ended)[0]
    assert actions.edition_file(ended, "variants.csv").read_bytes().count(b"\r\n") == 2
    actions.restore_variant(**said, at=now())
    back = publish(scene)
    assert PublicationEntry.objects.get(edition_number=3).kind == "changed"
    assert lines(back)[0]["claims"]


def test_an_edition_without_a_change_is_refused(scene):
    with refused(EditionUnchanged) as caught:
        publish(scene)
    assert caught.value.code == "edition-unchanged"
    scene.baseline()
    publish(scene)
    with refused(EditionUnchanged):
        publish(scene)


def test_a_vote_that_moves_no_standing_makes_no_edition(scene):
    base = scene.baseline()
    publish(scene)
    scene.vote(base.claims.get(trait=scene.crest), voters=6)
    with refused(EditionUnchanged):
        publish(scene)


def test_each_digest_is_that_of_the_bytes(scene):
    base = scene.baseline()
    edition = publish(scene)
    document = actions.edition_file(edition, "edition.json").read_bytes()
    ndjson = gzip.decompress(actions.edition_file(edition, "variants.ndjson.gz").read_bytes())
    assert edition.digest == whole_digest(document)
    assert edition.records_digest == whole_digest(ndjson)
    record = ndjson.rstrip(b"\n")
    assert leaf_digest(record) == PublicationEntry.objects.get().digest == base.record_digest
    assert record.decode() == Variant.objects.get(pk=base.pk).record


def test_files_are_written_again_with_the_same_bytes(scene, django_capture_on_commit_callbacks):
    scene.baseline()
    with django_capture_on_commit_callbacks(execute=True):
        edition = publish(scene)
    paths = {name: actions.edition_file(edition, name) for name in actions.FILES}
    before = {name: path.read_bytes() for name, path in paths.items()}
    for path in paths.values():
        path.unlink()
    Variant.objects.update(record="{}")
    assert {name: actions.edition_file(edition, name).read_bytes() for name in paths} == before


def test_a_file_that_is_there_is_never_written_over(scene):
    scene.baseline()
    edition = publish(scene)
    path = actions.edition_file(edition, "variants.csv")
    path.write_text("kept")
    actions.write_files(edition)
    assert path.read_text() == "kept"


@pytest.mark.parametrize("name", ["../edition.json", "variants", "", "edition.json/"])
def test_T17_no_other_file_is_given(scene, name):
    scene.baseline()
    edition = publish(scene)
    with refused(NotFound, says=["variants.csv"]):
        actions.edition_file(edition, name)


def test_each_edition_names_the_one_before(scene):
    base = scene.baseline()
    first = publish(scene)
    scene.change(base, scene.gull)
    second = publish(scene)
    document = json.loads(second.document)
    assert second.previous == first
    assert document["previous"] == {"number": 1, "sha256": first.digest}
    assert Edition.objects.count() == 2


def test_an_edition_names_the_fit_in_force_when_it_was_published_if_there_was_one(scene):
    base = scene.baseline()
    first = publish(scene)
    assert "fit" not in json.loads(first.document)
    fit = actions.make_fit(at=now())
    actions.adopt_fit(fit=fit, at=now(), reason="The votes of this month.")
    scene.change(base, scene.gull)
    second = publish(scene)
    assert json.loads(second.document)["fit"] == {"number": 1, "sha256": fit.digest}
    assert actions.edition_file(second, "edition.json").read_bytes() == second.document.encode()
