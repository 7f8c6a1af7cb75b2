"""Sightings and statements of order over the API."""

import json
from datetime import timedelta
from itertools import count

import pytest
from django.utils import timezone

from registry.models import Sighting
from tests.factories import (
    MemberFactory,
    ModeratorFactory,
    PackFactory,
    SightingFactory,
    StatementFactory,
    VariantFactory,
)
from tests.path import Scene

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db
KEYS = count(1)


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def seen(scene):
    """A find of one anchor variant."""
    variant = scene.report(scene.anchor)
    return {
        "release": scene.release.public_id, "scope": "peg", "seen_on": "2025-04-02", "country": "NL",
        "count_lines": [{"variants": [variant.public_id], "n": 2, "condition": "sealed"}],
    }  # fmt: skip


def test_a_find_is_reported_read_and_taken_back(seen):
    member = Caller(MemberFactory())
    made = member.post("/v1/sightings", seen)
    assert made.status_code == 201, made.content
    told = Caller().get(made["Location"]).json()
    assert told["count_lines"] == [
        {"kind": "variant", "variants": seen["count_lines"][0]["variants"], "condition": "sealed", "n": 2}
    ]
    problem(Caller(MemberFactory()).post(f"{made['Location']}/withdraw"), 404, "not-found")
    assert member.post(f"{made['Location']}/withdraw").json()["withdrawn_at"] is not None
    assert pages(Caller(), "/v1/sightings") == []
    problem(member.post(f"{made['Location']}/withdraw"), 409, "already-closed")


def test_a_full_count_names_what_could_be_seen(scene, seen):
    seen |= {
        "is_full_count": True, "cases_compared": 3, "picked_over": "no", "traits_seen": [scene.crest.public_id],
        "count_lines": [*seen["count_lines"], {"kind": "none_known", "n": 1}],
    }  # fmt: skip
    told = Caller(MemberFactory()).post("/v1/sightings", seen).json()
    assert (told["cases_compared"], told["traits_seen"]) == (3, [scene.crest.public_id])
    rows = pages(Caller(), "/v1/sightings", release=scene.release.public_id)
    assert [row["id"] for row in rows] == [told["id"]]


def tomorrow():
    return (timezone.now() + timedelta(days=2)).date().isoformat()


@pytest.mark.parametrize(
    ("wrong", "slug", "pointer"),
    [
        ({"seen_on": tomorrow()}, "in-the-future", "/seen_on"),
        ({"seen_on": "2025-02-30"}, "validation-failed", "/seen_on"),
        ({"scope": "attic"}, "validation-failed", "/scope"),
        ({"count_lines": []}, "validation-failed", "/count_lines"),
        ({"count_lines": [{"n": 0}]}, "validation-failed", "/count_lines/0/n"),
        ({"count_lines": [{"kind": "one_of_these", "n": 1}]}, "validation-failed", "/count_lines/0/variants"),
        ({"count_lines": [{"n": 1, "price": 3}]}, "validation-failed", "/count_lines/0/price"),
        ({"count_lines": [{"n": 1}] * 61}, "validation-failed", "/count_lines"),
        ({"cases_compared": 2}, "validation-failed", "/cases_compared"),
        ({"region": "4 Kiosk street"}, "validation-failed", "/region"),
        ({"by": "me"}, "validation-failed", "/by"),
    ],
)
def test_what_cannot_be_a_sighting_is_refused(wrong, slug, pointer, seen):
    told = problem(Caller(MemberFactory()).post("/v1/sightings", {**seen, **wrong}), 422, slug)
    assert told["errors"][0]["pointer"] == pointer
    assert not Sighting.objects.exists()


def test_a_variant_of_another_release_is_refused(seen):
    seen["count_lines"][0]["variants"] = [VariantFactory().public_id]
    told = problem(Caller(MemberFactory()).post("/v1/sightings", seen), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == "/count_lines/0/variants"


def test_sightings_cost_the_same_however_many_they_are(seen, queries_of):
    member = Caller(MemberFactory())
    for _ in range(2):
        member.post("/v1/sightings", seen | {"pack": PackFactory().public_id})
    few = queries_of(lambda: Caller().get("/v1/sightings"))
    for _ in range(10):
        member.post("/v1/sightings", seen)
    assert queries_of(lambda: Caller().get("/v1/sightings")) == few <= 6
    days = [row["seen_on"] for row in pages(Caller(), "/v1/sightings", sort="seen", limit=5)]
    assert days == sorted(days)
    SightingFactory(seen_on="2025-05-01")
    assert len(pages(Caller(), "/v1/sightings", seen_since="2025-04-30")) == 1


def bring(caller, data, kind="text/csv", **query):
    headers = {"Content-Type": kind, "Idempotency-Key": f"sheet-{next(KEYS)}"}
    return caller.send("POST", "sightings/import", data, query=query, **headers)


def test_a_file_is_tried_then_kept_then_known(scene, seen):
    member, variant = Caller(MemberFactory()), seen["count_lines"][0]["variants"][0]
    table = f"key,release,scope,seen_on,counts\na,{seen['release']},peg,2025-05-01,{variant} = 2\n".encode()
    told = bring(member, table, dry_run="true")
    assert (told.status_code, told.json()) == (200, {"new": 1, "known": 0, "faults": []})
    assert not Sighting.objects.exists()
    assert bring(member, table).json()["new"] == 1
    assert bring(member, table).json() == {"new": 0, "known": 1, "faults": []}
    lines = json.dumps(seen | {"key": "b"}).encode()
    assert bring(member, lines, "application/x-ndjson").json()["new"] == 1
    assert len(pages(Caller(), "/v1/sightings")) == 2


def test_a_file_with_a_fault_is_refused_whole_and_names_it(seen):
    member = Caller(MemberFactory())
    data = "\n".join(json.dumps(line) for line in (seen, seen | {"seen_on": "2099-01-01"})).encode()
    told = problem(bring(member, data, "application/x-ndjson"), 422, "validation-failed")
    assert [(fault["line"], fault["field"]) for fault in told["faults"]] == [(2, "seen_on")]
    tried = bring(member, data, "application/x-ndjson", dry_run="true").json()
    assert (tried["new"], tried["faults"][0]["line"]) == (1, 2)
    assert not Sighting.objects.exists()
    problem(bring(member, data, dry_run="perhaps"), 400, "parameter-out-of-range")


def test_a_file_too_large_is_refused_before_it_is_read(seen):
    problem(bring(Caller(MemberFactory()), b"x" * 1_000_001), 413, "too-large")


def test_the_members_own_key_is_theirs_alone(seen):
    member = Caller(MemberFactory())
    first = member.post("/v1/sightings", seen | {"key": "shelf 7"}).json()
    assert member.post("/v1/sightings", seen | {"key": "shelf 7"}).json()["id"] == first["id"]
    assert "key" not in first


def test_a_full_count_that_does_not_add_up_points_at_its_total(seen):
    wrong = seen | {"is_full_count": True, "total": 9}
    told = problem(Caller(MemberFactory()).post("/v1/sightings", wrong), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == "/total"
    assert "2, not to 9" in told["detail"]


def test_an_order_is_stated_and_taken_back(scene):
    first = scene.report(scene.anchor)
    second = scene.report(scene.gull, base=first)
    said = {
        "release": scene.release.public_id, "kind": "before", "variant": first.public_id, "other": second.public_id,
        "source_kind": "dated_sighting", "source": "seen in March, the other in June",
    }  # fmt: skip
    author = MemberFactory()
    made = Caller(author).post("/v1/statements", said)
    assert made.status_code == 201, made.content
    assert [row["id"] for row in pages(Caller(), "/v1/statements", variant=first.public_id)] == [
        made.json()["id"]
    ]
    vote = {"verdict": "confirms", "basis": "photo"}
    problem(Caller(author).put(f"{made['Location']}/vote", vote), 403, "own-submission")
    problem(Caller(MemberFactory()).post(f"{made['Location']}/close"), 403, "not-permitted")
    assert Caller(ModeratorFactory()).post(f"{made['Location']}/close").json()["closed_at"] is not None
    assert pages(Caller(), "/v1/statements") == []


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"other": None}, "/other"),
        ({"kind": "not_before"}, "/on"),
        ({"on": "2025-01-01"}, "/other"),
        ({"source": ""}, "/source"),
    ],
)
def test_what_cannot_be_an_order_is_refused(wrong, pointer):
    known = StatementFactory()
    said = {
        "release": known.release.public_id, "kind": "before", "variant": known.variant.public_id,
        "other": known.other.public_id, "source_kind": "dated_sighting", "source": "a kiosk receipt",
    }  # fmt: skip
    told = problem(
        Caller(MemberFactory()).post("/v1/statements", {**said, **wrong}), 422, "validation-failed"
    )
    assert told["errors"][0]["pointer"] == pointer


def test_statements_cost_the_same_however_many_they_are(queries_of):
    StatementFactory.create_batch(2)
    few = queries_of(lambda: Caller().get("/v1/statements"))
    StatementFactory.create_batch(18)
    assert queries_of(lambda: Caller().get("/v1/statements")) == few <= 6


def test_an_empty_file_is_refused_with_the_reason(scene):
    problem(bring(Caller(MemberFactory()), b""), 422, "validation-failed")
