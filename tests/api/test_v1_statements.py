"""Statements of order over the API: how far others agree, and codes read into dates."""

import pytest

from tests.factories import CodePatternFactory, LineFactory, MemberFactory, ModeratorFactory, VariantFactory
from tests.path import Scene

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def said(scene):
    variant, other = VariantFactory(release=scene.release), VariantFactory(release=scene.release)
    return {
        "release": scene.release.public_id, "kind": "before", "variant": variant.public_id, "other": other.public_id,
        "source_kind": "makers_notice", "source": "a trade sheet",
    }  # fmt: skip


def test_a_statement_says_how_far_it_is_settled_and_what_is_missing(scene, said):
    made = Caller(MemberFactory()).post("/v1/statements", said)
    assert made.status_code == 201, made.content
    told = made.json()
    assert (told["standing"], told["posterior"], told["missing"]) == (
        "open", None, ["three more votes on this order"],
    )  # fmt: skip
    for reviewer in scene.reviewers[:3]:
        vote = {"verdict": "confirms", "basis": "photo"}
        assert Caller(reviewer).put(f"{made['Location']}/vote", vote).status_code == 200
    told = Caller().get(made["Location"]).json()
    # 64 to 1 by three photo votes of 0.80.
    assert (told["standing"], told["posterior"], told["missing"]) == ("confirmed", 9846, [])


def test_a_code_is_read_by_the_pattern_of_its_line(scene, said):
    lines = f"/v1/lines/{scene.release.line.public_id}/codes"
    pattern = {
        "name": "Flap",
        "template": "{Y}{ww}",
        "dates": "packing",
        "first_year": 2020,
        "source": "forty",
    }
    made = Caller(ModeratorFactory()).post(lines, pattern)
    assert made.status_code == 201, made.content
    assert [row["precision"] for row in pages(Caller(), lines)] == ["a week"]
    said |= {
        "kind": "coded",
        "source_kind": "production_code",
        "code": "F07",
        "code_pattern": made.json()["id"],
    }
    del said["other"]
    told = Caller(MemberFactory()).post("/v1/statements", said).json()
    assert (told["on"], told["until"], told["dates"]) == ("2025-02-10", "2025-02-16", "packing")
    wrong = problem(
        Caller(MemberFactory()).post("/v1/statements", said | {"code": "FO7"}), 422, "validation-failed"
    )
    assert wrong["errors"][0]["pointer"] == "/code"


def test_a_template_is_no_expression(scene):
    body = {"name": "x", "template": "(A+)+", "dates": "packing", "first_year": 2020, "source": "x"}
    told = problem(
        Caller(ModeratorFactory()).post(f"/v1/lines/{scene.release.line.public_id}/codes", body),
        422, "validation-failed",
    )  # fmt: skip
    assert told["errors"][0]["pointer"] == "/template"


def test_what_was_said_before_names_itself(said):
    member = Caller(MemberFactory())
    first = member.post("/v1/statements", said).json()
    told = problem(member.post("/v1/statements", said), 422, "twin-exists")
    assert told["statement"] == first["id"]


def test_codes_cost_the_same_however_many_they_are(queries_of):
    line = LineFactory()
    CodePatternFactory.create_batch(2, line=line)
    few = queries_of(lambda: Caller().get(f"/v1/lines/{line.public_id}/codes"))
    CodePatternFactory.create_batch(18, line=line)
    assert queries_of(lambda: Caller().get(f"/v1/lines/{line.public_id}/codes")) == few <= 5
