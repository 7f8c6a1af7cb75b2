"""Gloss meter readings over the API: written down, listed, taken back."""

import pytest

from tests.factories import MemberFactory, StateFactory, TraitFactory
from tests.gloss import GlossReadingFactory
from tests.path import Scene, claim_on

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


def test_a_reading_is_written_down_read_and_taken_back(queries_of):
    scene = Scene()
    coat = TraitFactory(line=scene.release.line, key="coat", kind="finish", adopted_by=scene.release)
    variant = scene.report(scene.anchor, StateFactory(trait=coat, key="matte"))
    claim, crest, example = claim_on(variant, coat), claim_on(variant, scene.crest), scene.example()
    author, path = Caller(MemberFactory()), f"/v1/claims/{claim.public_id}/gloss-readings"
    said = {"example": example.public_id, "geometry": 60, "tenths": 42, "instrument": "small spot"}
    made = author.post(path, said, key="one")
    assert made.status_code == 201, made.content
    told = made.json()
    assert told == {
        **said, "id": told["id"], "claim": claim.public_id, "trait": coat.public_id, "range": "low gloss",
        "better_geometry": 85, "advice": told["advice"], "by": author.token.member.public_id, "at": told["at"],
    }  # fmt: skip
    assert "at 85 degrees" in told["advice"]
    assert author.post(path, said, key="one").json() == told
    assert Caller().get(made["Location"]).json() == told
    few = queries_of(lambda: Caller().get(path))
    for _ in range(4):
        GlossReadingFactory(example=example, claim=claim, trait=coat)
    assert queries_of(lambda: Caller().get(path)) == few <= 5
    assert len(pages(Caller(), path, limit=2)) == 5
    of_trait = author.post("/v1/gloss-readings", {**said, "geometry": 85, "trait": coat.public_id})
    assert (of_trait.json()["claim"], of_trait.json()["range"], of_trait.json()["advice"]) == (None, None, "")
    also = author.post("/v1/gloss-readings", {**said, "claim": claim.public_id})
    assert (also.status_code, also.json()["claim"]) == (201, claim.public_id)
    assert len(pages(Caller(), "/v1/gloss-readings", trait=coat.public_id)) == 7
    assert pages(Caller(), "/v1/gloss-readings", variant=variant.public_id) == pages(Caller(), path)
    for wrong, pointer in (
        ({"geometry": 45}, "/geometry"),
        ({"tenths": 20_001}, "/tenths"),
        ({"tenths": 12.4}, "/tenths"),
        ({"example": "nothing"}, "/example"),
        ({"instrument": "x" * 101}, "/instrument"),
        ({"trait": coat.public_id}, "/trait"),
    ):
        refusal = problem(author.post(path, {**said, **wrong}), 422, "validation-failed")
        assert refusal["errors"][0]["pointer"] == pointer
    of_a_print = f"/v1/claims/{crest.public_id}/gloss-readings"
    assert "kind finish" in problem(author.post(of_a_print, said), 422, "validation-failed")["detail"]
    problem(author.post("/v1/gloss-readings", said), 422, "validation-failed")
    problem(Caller().get("/v1/claims/4k7d9xwpm2cx/gloss-readings"), 404, "not-found")
    problem(author.delete(made["Location"]), 422, "validation-failed")
    problem(Caller(MemberFactory()).delete(made["Location"], {"reason": "No."}), 403, "not-permitted")
    assert author.delete(made["Location"], {"reason": "I slipped."}).status_code == 204
    problem(Caller().get(made["Location"]), 404, "not-found")
