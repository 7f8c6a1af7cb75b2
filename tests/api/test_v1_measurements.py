"""Lengths on photos over the API: measured, listed, compared, taken back."""

import pytest

from tests.factories import MemberFactory, PhotoFactory, StateFactory
from tests.measured import MeasurementFactory
from tests.path import Scene, claim_on

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db
LINES = {"reference": [[3000, 5000], [7000, 5000]], "measured": [[4778, 5000], [5222, 5000]]}


@pytest.fixture
def scene():
    return Scene()


def test_a_length_is_measured_read_and_taken_back(scene, queries_of):
    short = StateFactory(trait=scene.crest, key="short", name="2 mm short", number=2_000, unit="um")
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    example = scene.example()
    photo = scene.photo(example)
    moderator, author = Caller(scene.moderator), Caller(MemberFactory())
    casting = f"/v1/castings/{scene.release.casting.public_id}"
    etag = moderator.get(casting)["ETag"]
    assert moderator.patch(casting, {"wheelbase_um": 36_000}, match=etag).json()["wheelbase_um"] == 36_000
    said = {
        "photo": photo.public_id,
        "example": example.public_id,
        "claim": claim.public_id,
        "known_by": "wheelbase",
    }
    said |= {**LINES, "pointing_px": 1, "distance_mm": 400}
    made = author.post("/v1/measurements", said, key="one")
    assert made.status_code == 201, made.content
    told = made.json()
    assert (told["length_um"], told["full_size_um"], told["trait"]) == (
        3_996,
        64 * 3_996,
        scene.crest.public_id,
    )
    assert (told["reference"], told["measured"]) == (LINES["reference"], LINES["measured"])
    assert 0 <= 2 * told["standard_error_um"] - told["error_um"] <= 1
    assert told["states"] == [
        {"state": short.public_id, "number_um": 2_000, "tolerance_um": None, "fits": False}
    ]
    assert author.post("/v1/measurements", said, key="one").json() == told
    assert Caller().get(made["Location"]).json() == told
    few = queries_of(lambda: Caller().get("/v1/measurements"))
    for _ in range(4):
        MeasurementFactory(example=example, photo=photo, claim=claim, trait=scene.crest)
    hidden = MeasurementFactory(photo=PhotoFactory(submission__release=scene.release), example=example)
    assert queries_of(lambda: Caller().get("/v1/measurements")) == few <= 6
    of_photo = pages(Caller(), f"/v1/photos/{photo.public_id}/measurements", limit=2)
    assert len(of_photo) == 5
    assert pages(Caller(), "/v1/measurements", claim=claim.public_id) == of_photo
    problem(Caller().get(f"/v1/measurements/{hidden.public_id}"), 404, "not-found")
    problem(author.delete(made["Location"]), 422, "validation-failed")
    problem(Caller(MemberFactory()).delete(made["Location"], {"reason": "No."}), 403, "not-permitted")
    assert author.delete(made["Location"], {"reason": "I slipped."}).status_code == 204
    problem(Caller().get(made["Location"]), 404, "not-found")
    for wrong, pointer in (
        ({"measured": [[0, 0], [10_001, 0]]}, "/measured/1/0"),
        ({"measured": [[0, 0]]}, "/measured"),
        ({"measured": [[0, 0], [1, 1]]}, "/measured"),
        ({"known_um": 36_000}, "/known_um"),
        ({"known_by": "eye"}, "/known_by"),
        ({"colour": 1}, "/colour"),
    ):
        refusal = problem(author.post("/v1/measurements", {**said, **wrong}), 422, "validation-failed")
        assert refusal["errors"][0]["pointer"] == pointer
