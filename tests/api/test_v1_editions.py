"""Editions: what another program pulls, and may keep for ever."""

import csv
import gzip
import hashlib
import io
import json

import pytest

from registry import actions
from registry.actions.publish import edition_folder
from registry.models import Edition
from tests.factories import ModeratorFactory
from tests.path import Scene, now

from .caller import Caller, pages, problem, whole

pytestmark = pytest.mark.django_db
FILES = ("edition.json", "variants.ndjson.gz", "variants.csv")


@pytest.fixture
def scene():
    scene = Scene()
    scene.baseline()
    return scene


@pytest.fixture
def first(scene):
    return actions.publish_edition(by=scene.moderator, at=now())


def test_before_the_first_edition_there_is_none():
    problem(Caller().get("/v1/editions/latest"), 404, "not-found")
    for path in ("1", "0", "-1", "x", "9" * 30, "1/edition.json", "1/variants.csv"):
        problem(Caller().get(f"/v1/editions/{path}"), 404, "not-found")


def test_a_moderator_publishes_and_not_again_until_something_changes(scene):
    moderator = Caller(scene.moderator)
    made = moderator.post("/v1/editions", key="first")
    assert (made.status_code, made["Location"]) == (201, "/v1/editions/1")
    assert moderator.post("/v1/editions", key="first")["Idempotency-Replayed"] == "true"
    problem(moderator.post("/v1/editions"), 409, "edition-unchanged")
    assert Edition.objects.count() == 1


def test_edition_json_is_the_stored_document_byte_for_byte(first):
    answers = [Caller().get(f"/v1/editions/{path}") for path in ("latest", "1", "1/edition.json")]
    for answer in answers:
        assert answer.content == first.document.encode()
        assert answer["ETag"] == f'"{hashlib.sha256(answer.content).hexdigest()[:32]}"'
    assert answers[0]["Cache-Control"].startswith("public, max-age=60,")
    assert answers[0]["Content-Location"] == "/v1/editions/1/edition.json"
    assert answers[1]["Cache-Control"] == "public, max-age=31536000, immutable"


@pytest.mark.parametrize("path", ["latest", *(f"1/{name}" for name in FILES)])
def test_what_was_pulled_once_is_not_sent_again(path, first):
    before = Caller().get(f"/v1/editions/{path}")
    assert whole(before)
    again = Caller().get(f"/v1/editions/{path}", if_none_match=before["ETag"])
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", before["ETag"])


def test_the_records_are_packed_and_are_what_the_document_says(scene, first):
    answer = Caller().get("/v1/editions/1/variants.ndjson.gz", Accept="application/gzip")
    assert answer["Content-Type"] == "application/gzip"
    assert "Content-Encoding" not in answer
    lines = gzip.decompress(whole(answer))
    assert (
        hashlib.sha256(lines).hexdigest() == json.loads(first.document)["files"]["variants_ndjson"]["sha256"]
    )
    for line in lines.splitlines():
        live = Caller().get(f"/v1/variants/{json.loads(line)['id']}")
        assert live.content == line


def test_the_table_has_a_row_for_each_claim(first):
    answer = Caller().get("/v1/editions/1/variants.csv", Accept="text/csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(whole(answer).decode())))
    assert {(row["trait"], row["state"]) for row in rows} >= {("crest", "anchor"), ("stripe", "red")}
    problem(Caller().get("/v1/editions/1/variants.csv", Accept="application/json"), 406, "representation")


def test_a_lost_file_is_written_again_the_same(first):
    before = {name: whole(Caller().get(f"/v1/editions/1/{name}")) for name in FILES}
    for name in FILES:
        (edition_folder(first) / name).unlink(missing_ok=True)
    assert {name: whole(Caller().get(f"/v1/editions/1/{name}")) for name in FILES} == before


def test_an_old_edition_reads_as_it_did_when_there_is_a_newer_one(scene, first):
    before = {name: whole(Caller().get(f"/v1/editions/1/{name}")) for name in FILES}
    scene.change(scene.release.variants.get(), scene.gull)
    Caller(ModeratorFactory()).post("/v1/editions")
    assert {name: whole(Caller().get(f"/v1/editions/1/{name}")) for name in FILES} == before
    latest = Caller().get("/v1/editions/latest").json()
    assert latest["previous"] == {"number": 1, "sha256": first.digest}
    listed = pages(Caller(), "/v1/editions", limit=1)
    assert [(row["number"], row["previous"]) for row in listed] == [(1, None), (2, 1)]
    assert listed[0]["sha256"] == first.digest


def test_the_list_of_editions_costs_the_same_however_long_it_is(scene, first, queries_of):
    few = queries_of(lambda: Caller().get("/v1/editions"))
    scene.change(scene.release.variants.get(), scene.gull)
    actions.publish_edition(by=scene.moderator, at=now())
    assert queries_of(lambda: Caller().get("/v1/editions")) == few <= 6
