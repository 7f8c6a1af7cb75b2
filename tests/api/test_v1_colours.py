"""`/v1`: the chart of a photo, what was measured on its marks, and identify by a measured colour."""

import pytest
from django.db import connection

from registry.actions.colours import pixels
from tests.coloured import SWAPPED, Blues
from tests.factories import MemberFactory

from .caller import Caller, problem, whole

pytestmark = pytest.mark.django_db
read = pixels


def outside_requests_transaction(photo):
    """The test itself runs in one transaction; any more would be the request's."""
    assert len(connection.savepoint_ids) == 0, "pixels are read inside the request's transaction"
    return read(photo)


def test_the_chart_of_a_photo_the_colours_of_its_marks_and_identify_by_one(
    django_capture_on_commit_callbacks, monkeypatch
):
    blues = Blues()
    photo, marks = blues.pictured(SWAPPED)
    reader, member, stranger = Caller(), Caller(blues.scene.author), Caller(MemberFactory())
    monkeypatch.setattr("registry.actions.colours.pixels", outside_requests_transaction)
    address, mark = f"/v1/photos/{photo.public_id}", f"/v1/marks/{marks[0].public_id}"
    assert reader.get(f"{address}/chart").status_code == 404
    assert reader.get(address).json()["chart"] is None
    assert reader.get(mark).json()["colour"] is None

    asked = {"kind": "patch_chart", "corners": [[5, 20], [50, 20], [50, 65], [5, 65]]}
    problem(stranger.put(f"{address}/chart", asked), 403, "not-permitted")
    refused = member.put(f"{address}/chart", asked)
    assert refused.status_code == 422
    assert "patches differ" in refused.json()["detail"]
    with django_capture_on_commit_callbacks(execute=True):
        placed = member.put(f"{address}/chart", {"kind": "patch_chart"})
    assert placed.status_code == 200, whole(placed)
    assert placed.json()["residual"] < 100
    assert reader.get(f"{address}/chart").json() == placed.json() == reader.get(address).json()["chart"]

    told = reader.get(mark).json()["colour"]
    assert told["sentence"].startswith("Closest to harbour navy")
    assert told["against"][0]["state"] == blues.states["navy"].public_id
    assert told["against"][0]["is_excluded"] is False
    assert told["chart"] == "patch_chart"
    listed = {row["id"]: row["colour"] for row in reader.get(f"{address}/marks").json()["results"]}
    assert listed[marks[0].public_id] == told
    evidence = reader.get(f"/v1/variants/{blues.navy.public_id}/evidence").json()["results"]
    assert [row["colour"] for it in evidence for row in it["marks"] if row["id"] == marks[0].public_id] == [
        told
    ]

    seen = {"lab": [part / 100 for part in told["lab"]], "error": told["error"] / 100}
    question = {"scope": {"release": blues.scene.release.public_id}, "observed": {"body": seen}}
    answer = reader.post("/v1/identify", question).json()
    assert answer["ranking"][0]["variant"] == blues.navy.public_id
    assert answer["ranking"][0]["probability"] > 9_000
    crest = {**question, "observed": {"crest": seen}}
    assert reader.post("/v1/identify", crest).json()["ranking"][0]["for"] == [], "no state of it has a colour"
    for wrong in ({"lab": seen["lab"]}, {"lab": seen["lab"][:2], "error": 1}, {**seen, "state": "navy"}):
        assert reader.post("/v1/identify", {**question, "observed": {"body": wrong}}).status_code == 422
