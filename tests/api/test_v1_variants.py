"""Variants: the canonical record, what is asked of it, what became of it."""

import hashlib
import json
from datetime import UTC, datetime, timedelta

import pytest

from registry import actions
from registry.models import Variant
from tests.factories import NOON, AssortmentItemFactory, PackContentFactory
from tests.path import Scene, claim_on, now

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def pair(scene):
    """A baseline with an anchor and a red stripe, and a provisional variant with a gull."""
    base = scene.report(scene.anchor, scene.red)
    return base, scene.report(scene.gull, base=base, cause="running_change")


def test_the_record_is_canonical_and_its_tag_is_its_digest(pair):
    answer = Caller().get(f"/v1/variants/{pair[0].public_id}")
    digest = hashlib.sha256(b"\x00" + answer.content).hexdigest()
    assert answer["ETag"] == f'"{digest[:32]}"'
    assert answer["Content-Type"] == "application/json"
    assert (
        json.dumps(answer.json(), sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
        == answer.content
    )
    unchanged = Caller().get(f"/v1/variants/{pair[0].public_id}", if_none_match=answer["ETag"])
    assert (unchanged.status_code, unchanged.content, unchanged["ETag"]) == (304, b"", answer["ETag"])


def test_a_vote_that_settles_nothing_leaves_the_tag_alone(scene, pair):
    address = f"/v1/variants/{pair[0].public_id}"
    before = Caller().get(address)["ETag"]
    scene.vote(claim_on(pair[0], scene.crest), voters=1)
    assert Caller().get(address)["ETag"] == before


def test_fields_of_a_record_have_a_tag_of_their_own(pair):
    address = f"/v1/variants/{pair[0].public_id}"
    whole = Caller().get(address)
    part = Caller().get(address, {"fields": "id,claims.crest.state"})
    assert part.json() == {"id": pair[0].public_id, "claims": {"crest": {"state": "anchor"}}}
    assert part["ETag"] != whole["ETag"]
    problem(Caller().get(address, {"fields": "title,rank"}), 400, "parameter-out-of-range")
    problem(Caller().get(address, {"fields": "claims.crest.rank"}), 400, "parameter-out-of-range")


def test_the_list_holds_the_same_bytes_as_the_records(pair):
    listed = Caller().get("/v1/variants").content
    for variant in pair:
        assert Caller().get(f"/v1/variants/{variant.public_id}").content in listed


def test_every_kind_of_filter_keeps_what_it_says(scene, pair):
    base, variant = pair
    AssortmentItemFactory(release=scene.release)
    PackContentFactory(release=scene.release)
    other = Scene()
    other.report(other.anchor)
    release = scene.release
    asked = {
        "maker": release.line.maker.public_id,
        "line": release.line.public_id,
        "casting": release.casting.public_id,
        "release": release.public_id,
        "assortment": release.assortments.get().public_id,
        "pack": release.packs.get().public_id,
    }
    for name, value in asked.items():
        rows = pages(Caller(), "/v1/variants", **{name: value})
        assert {row["id"] for row in rows} == {base.public_id, variant.public_id}, name
    kept = {
        ("standing", "provisional"): 3,
        ("standing", "verified"): 0,
        ("cause", "baseline"): 2,
        ("cause", "running_change"): 1,
        ("cause", "not_known"): 0,
        ("trait.crest", "gull"): 1,
        ("trait.stripe", "red"): 1,
        ("q", f"{release.casting.name} {release.name}"): 2,
    }
    for (name, value), number in kept.items():
        assert len(pages(Caller(), "/v1/variants", **{name: value})) == number, (name, value)


def test_up_to_five_states_may_be_asked_for_at_once(scene, pair):
    base, variant = pair

    def found(query):
        return {row["id"] for row in Caller().get(f"/v1/variants?{query}").json()["results"]}

    assert found("trait.crest=gull&trait.crest=anchor") == {base.public_id, variant.public_id}
    assert found("trait.crest=anchor&trait.stripe=red") == {base.public_id}
    assert found("trait.crest=gull&trait.stripe=red") == set()
    problem(Caller().get("/v1/variants?" + "&".join(["trait.crest=gull"] * 6)), 400, "parameter-out-of-range")
    problem(Caller().get("/v1/variants?trait.crest=goose"), 400, "parameter-out-of-range")
    problem(Caller().get("/v1/variants?trait.crust=gull"), 400, "parameter-out-of-range")
    problem(Caller().get("/v1/variants?trait.=&trait.%00=a"), 400, "parameter-out-of-range")


def test_a_merged_state_is_found_under_both_its_names(scene, pair):
    actions.merge(thing=scene.gull, into=scene.anchor, by=scene.moderator, at=now())
    for word in ("gull", "anchor"):
        assert pair[1].public_id in {
            row["id"] for row in pages(Caller(), "/v1/variants", **{"trait.crest": word})
        }


def test_changes_since_a_moment(scene, pair):
    later = NOON + timedelta(days=9)
    Variant.objects.filter(pk=pair[1].pk).update(changed_at=later)
    for moment in ("2026-06-10T00:00:00Z", "2026-06-10T02:00:00+02:00", later.isoformat()):
        assert [row["id"] for row in pages(Caller(), "/v1/variants", changed_since=moment)] == [
            pair[1].public_id
        ]
    order = [row["id"] for row in pages(Caller(), "/v1/variants", sort="changed", limit=1)]
    assert order == [pair[0].public_id, pair[1].public_id]


@pytest.mark.parametrize(
    "moment",
    ["yesterday", "2026-13-01T00:00:00Z", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", ""],
)
def test_a_moment_that_is_none_is_400(moment):
    answer = Caller().get("/v1/variants", {"changed_since": moment})
    problem(answer, 400, "parameter-out-of-range")


def test_a_revision_is_shown_as_it_was(scene, pair):
    base = pair[0]
    answer = Caller().get(f"/v1/variants/{base.public_id}", {"revision": "1"})
    snapshot = answer.json()
    assert (snapshot["number"], snapshot["parent"], snapshot["title"]) == (1, None, base.title)
    assert answer["Cache-Control"] == "public, max-age=86400"
    claims = {Caller().get(f"/v1/claims/{one}").json()["state_key"] for one in snapshot["claims"]}
    assert claims == {"anchor", "red", "baseline"}
    problem(Caller().get(f"/v1/variants/{base.public_id}", {"revision": "9"}), 404, "not-found")
    problem(Caller().get(f"/v1/variants/{base.public_id}", {"revision": "0"}), 400, "parameter-out-of-range")
    listed = pages(Caller(), f"/v1/variants/{base.public_id}/revisions")
    assert len(listed) == 1
    assert listed[0].items() <= snapshot.items()


def test_standing_says_what_is_missing_of_the_variant_and_of_each_claim(scene, pair):
    told = Caller().get(f"/v1/variants/{pair[0].public_id}/standing").json()
    assert told["standing"] == "provisional"
    assert told["missing"]
    claims = {claim["trait_key"]: claim for claim in told["claims"]}
    assert set(claims) == {"crest", "stripe", "cause"}
    assert claims["crest"]["missing"]
    assert "votes" not in claims["crest"]  # undecided, and nobody votes as others did


def test_evidence_shows_photos_with_their_marks(scene, pair):
    scene.show(pair[0])
    rows = pages(Caller(), f"/v1/variants/{pair[0].public_id}/evidence")
    assert len(rows) == 1
    assert {mark["xywh"] for mark in rows[0]["marks"]} == {"xywh=percent:10,10,20,20"}
    assert {mark["claim"] for mark in rows[0]["marks"]} == {
        claim_on(pair[0], trait).public_id for trait in (scene.crest, scene.stripe)
    }
    assert rows[0]["files"]["px320"].endswith("-320.jpg")


@pytest.mark.parametrize(
    "path", ["variants", "claims", "marks", "photos", "examples", "variants?trait.crest=anchor"]
)
def test_lists_of_the_record_cost_the_same_however_long_they_are(path, queries_of):
    def another():
        scene = Scene()
        scene.show(scene.report(scene.anchor, scene.red))

    another()
    another()
    few = queries_of(lambda: Caller().get(f"/v1/{path}"))
    for _ in range(8):
        another()
    assert queries_of(lambda: Caller().get(f"/v1/{path}")) == few <= 6


@pytest.mark.parametrize("path", ["", "/standing", "/fate", "/revisions", "/evidence"])
def test_a_variant_costs_the_same_however_much_is_known(path, scene, queries_of):
    base = scene.report(scene.anchor, scene.red)
    scene.show(base)
    few = queries_of(lambda: Caller().get(f"/v1/variants/{base.public_id}{path}"))
    for _ in range(8):
        scene.show(base)
    scene.vote(claim_on(base, scene.crest))
    assert queries_of(lambda: Caller().get(f"/v1/variants/{base.public_id}{path}")) == few <= 6


def test_times_are_in_utc(pair):
    claim = Caller().get("/v1/claims").json()["results"][0]
    assert datetime.fromisoformat(claim["opened_at"]).tzinfo == UTC
