"""Lists: pages by key, limits, cursors, filters by name, and fields."""

import json

import pytest
from django.core import signing

from api.pagination import signer
from registry.methods.identifiers import mint
from registry.models import Maker
from tests.factories import CastingFactory, LineFactory, MakerFactory

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("limit", ["0", "201", "x", "-1", "1000000", "1.5", "", "١"])
def test_T31_a_limit_out_of_range_is_400(limit):
    problem(Caller().get("/v1/makers", {"limit": limit}), 400, "parameter-out-of-range")


def test_an_unknown_parameter_is_400_and_the_known_ones_are_named():
    told = problem(Caller().get("/v1/makers", {"page": "2"}), 400, "parameter-unknown")
    assert "cursor, fields, limit, q" in told["detail"]
    assert told["parameter"] == "“page”"


def test_a_repeated_parameter_is_400():
    problem(Caller().get("/v1/makers?limit=1&limit=2"), 400, "parameter-out-of-range")


def test_pages_hold_each_row_once_while_others_come_and_go():
    MakerFactory.create_batch(23)
    kept = set(Maker.objects.values_list("public_id", flat=True))
    seen, address = [], "/v1/makers?limit=5"
    while address:
        answer = Caller().get(address).json()
        seen += [row["id"] for row in answer["results"]]
        gone = MakerFactory()
        MakerFactory()
        gone.delete()
        address = answer["next"]
    assert [seen.count(public_id) for public_id in kept] == [1] * 23


def test_an_exact_page_has_no_next():
    MakerFactory.create_batch(4)
    assert len(pages(Caller(), "/v1/makers", limit=2)) == 4
    answer = Caller().get("/v1/makers", {"limit": 4})
    assert answer.json()["next"] is None
    assert "Link" not in answer


def test_a_cursor_is_good_for_its_own_list_and_filters_only():
    maker = MakerFactory()
    LineFactory.create_batch(3, maker=maker)
    following = Caller().get("/v1/lines", {"limit": 1, "maker": maker.public_id}).json()["next"]
    cursor = following.partition("cursor=")[2]
    assert Caller().get(following).status_code == 200
    assert Caller().get(f"/v1/lines?maker={maker.public_id}&limit=2&cursor={cursor}").status_code == 200
    problem(Caller().get(f"/v1/lines?cursor={cursor}"), 400, "cursor-mismatch")
    problem(Caller().get(f"/v1/makers?cursor={cursor}"), 400, "cursor-mismatch")


def test_a_cursor_with_any_symbol_changed_is_400():
    MakerFactory.create_batch(2)
    following = Caller().get("/v1/makers", {"limit": 1}).json()["next"]
    address, _, cursor = following.partition("cursor=")
    for place in range(len(cursor)):
        other = "A" if cursor[place] != "A" else "B"
        changed = f"{address}cursor={cursor[:place]}{other}{cursor[place + 1 :]}"
        problem(Caller().get(changed), 400, "cursor-mismatch")


@pytest.mark.parametrize("held", [[], {}, "text", None, [["a"]]])
def test_a_cursor_of_another_shape_is_400(held):
    problem(Caller().get("/v1/makers", {"cursor": signer.sign_object(held)}), 400, "cursor-mismatch")
    problem(Caller().get("/v1/makers", {"cursor": signing.dumps(held)}), 400, "cursor-mismatch")


def test_the_database_key_is_in_no_cursor():
    MakerFactory.create_batch(2)
    cursor = (
        Caller().get("/v1/makers", {"limit": 1}).json()["next"].partition("cursor=")[2].replace("%3A", ":")
    )
    assert all(isinstance(part, str) and len(part) >= 12 for part in signer.unsign_object(cursor))


def test_fields_choose_what_is_answered():
    casting = CastingFactory()
    whole = Caller().get(f"/v1/castings/{casting.public_id}")
    part = Caller().get(f"/v1/castings/{casting.public_id}", {"fields": "name,id"})
    assert part.json() == {"id": casting.public_id, "name": casting.name}
    assert part["ETag"] != whole["ETag"]
    assert Caller().get("/v1/castings", {"fields": "id"}).json()["results"] == [{"id": casting.public_id}]


@pytest.mark.parametrize(
    "fields", ["", "nothing", "id,nothing", "id.name", "a.b.c.d", "id,,name", "ID", "id," * 60]
)
def test_an_unknown_field_is_400(fields):
    problem(Caller().get("/v1/makers", {"fields": fields}), 400, "parameter-out-of-range")


@pytest.mark.parametrize("value", ["", "x", "9" * 12, "\x00", "b" * 500])
def test_a_filter_by_an_id_that_is_none_is_400(value):
    problem(Caller().get("/v1/lines", {"maker": value}), 400, "parameter-out-of-range")


def test_a_filter_by_an_id_takes_any_spelling_of_it():
    line = LineFactory()
    rows = Caller().get("/v1/lines", {"maker": line.maker.shown_id.upper()}).json()["results"]
    assert [row["id"] for row in rows] == [line.public_id]
    assert Caller().get("/v1/lines", {"maker": mint()}).json() == {"results": [], "next": None}


def test_an_unknown_order_is_400():
    problem(Caller().get("/v1/variants", {"sort": "title"}), 400, "parameter-out-of-range")


def test_T31_huge_addresses_are_refused_quickly():
    told = problem(Caller().get("/v1/makers", {"q": "a" * 100_000 + "!"}), 400, "parameter-out-of-range")
    assert len(json.dumps(told)) < 1_000
