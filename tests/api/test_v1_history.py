"""A variant through time, for programs: as it stood, what differs, and the chain as W3C PROV."""

import json

import pytest

from tests.methods.test_prov import faults
from tests.path import Scene, now
from tests.queries.test_then import correct

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def base(scene):
    """Verified, then corrected in a dispute. `verified_at` lies between."""
    base = scene.baseline()
    base.verified_at = now()
    base.dispute = correct(scene, base)
    return base


def at(variant, moment):
    answer = Caller().get(f"variants/{variant.public_id}", {"at": moment.isoformat()})
    assert answer.status_code == 200, answer.content
    return answer


def test_it_is_told_as_it_stood_at_a_moment(base):
    told = at(base, base.verified_at).json()
    assert (told["number"], told["standing"]) == (1, "verified")
    crest = next(one for one in told["details"] if one["trait_key"] == "crest")
    assert (crest["state_key"], crest["standing"], len(crest["photos"])) == ("anchor", "confirmed", 2)
    later = at(base, now()).json()
    assert (later["number"], later["parent"]) == (2, 1)
    assert {one["state_key"] for one in later["details"]} == {"gull", "red", "baseline"}


def test_a_day_is_its_end_and_before_the_report_there_was_nothing(base):
    day = base.sent_at.date().isoformat()
    address = f"variants/{base.public_id}"
    assert Caller().get(address, {"at": day}).json()["as_of"] == f"{day}T23:59:59.999999Z"
    problem(Caller().get(address, {"at": "1999-01-01"}), 404, "not-found")
    for wrong in ("2", "soon", "2026-02-30"):
        problem(Caller().get(address, {"at": wrong}), 400, "parameter-out-of-range")
    problem(Caller().get(address, {"at": day, "revision": "1"}), 400, "parameter-out-of-range")


def test_only_a_revision_may_be_kept_for_long_and_members_can_be_chosen(base):
    address = f"variants/{base.public_id}"
    assert "max-age=86400" in Caller().get(address, {"revision": "1"})["Cache-Control"]
    assert "max-age=86400" not in at(base, now())["Cache-Control"]
    told = Caller().get(address, {"revision": "2", "fields": "standing,details.standing"}).json()
    assert told["details"][0] == {"standing": "confirmed"}


def test_what_differs_between_two_points_says_who_why_and_where_it_is_seen(scene, base):
    asked = {"from": base.verified_at.isoformat(), "to": "2"}
    told = Caller().get(f"variants/{base.public_id}/differences", asked).json()
    assert (told["before"]["revision"], told["after"]["revision"]) == (1, 2)
    crest = next(one for one in told["differences"] if one["what"] == "Roof crest")
    assert crest == {
        "what": "Roof crest",
        "change": "changed",
        "before": "anchor",
        "after": "gull",
        "claim_before": base.dispute.claim.public_id,
        "claim_after": base.dispute.rival.public_id,
        "standing_before": "confirmed",
        "standing_after": "confirmed",
        "by": scene.author.public_id,
        "why": "It is a gull.",
        "photos": [photo.public_id for photo in base.dispute.photos.all()],
    }


@pytest.mark.parametrize(
    ("asked", "status"),
    [({"from": "1"}, 400), ({"from": "1", "to": "x"}, 400), ({"from": "1", "to": "9"}, 404)],
)
def test_two_points_that_can_be_found_must_be_given(base, asked, status):
    answer = Caller().get(f"variants/{base.public_id}/differences", asked)
    problem(answer, status, "not-found" if status == 404 else "parameter-out-of-range")


def test_the_chain_is_json_ld_in_the_words_of_prov(scene, base):
    address = f"/v1/variants/{base.public_id}/provenance"
    answer = Caller().get(address)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/ld+json")
    document = json.loads(answer.content)
    assert faults(document) == []
    nodes = {node["@id"]: node for node in document["@graph"]}
    second = nodes[f"/v1/variants/{base.public_id}?revision=2"]
    activity = nodes[second["prov:wasGeneratedBy"]["@id"]]
    assert activity["@id"] == f"{address}#dispute-{base.dispute.public_id}"
    photo = base.dispute.photos.get()
    assert {"@id": f"/v1/photos/{photo.public_id}"} in activity["prov:used"]
    assert nodes[f"/v1/photos/{photo.public_id}"]["schema:sha256"] == photo.digest
    for member in (scene.author, *scene.reviewers):
        assert member.display_name not in answer.text
    first = nodes[f"/v1/variants/{base.public_id}?revision=1"]
    assert "#submission-" in first["prov:wasGeneratedBy"]["@id"]
    accepted = Caller().get(address, Accept="application/ld+json")
    assert accepted.content == answer.content
    assert Caller().get(address, if_none_match=answer["ETag"]).status_code == 304


def test_more_history_costs_no_more_queries(scene, base, queries_of):
    paths = ("differences", "provenance")
    query = {"differences": {"from": "1", "to": "2"}, "provenance": {}}

    def count():
        return [
            queries_of(lambda p=p: Caller().get(f"variants/{base.public_id}/{p}", query[p])) for p in paths
        ]

    few = count()
    scene.show(base)
    scene.change(base, scene.anchor)
    correct_back = scene.crest.states.create(key="heron", name="heron")
    scene.gull = correct_back
    correct(scene, base, reason="A heron.")
    assert count() == few
