"""The hunt and the cabinet as a file: the requester's alone, with tags, in pages, at a fixed cost."""

import pytest

from registry.models import CabinetItem
from tests.factories import AssortmentItemFactory, CabinetItemFactory, MemberFactory, ReleaseFactory
from tests.shelf import Shelf

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    return Caller(MemberFactory())


def test_the_depth_is_changed_by_who_holds_the_newest_copy(owner):
    shelf = Shelf()
    first = owner.get("/v1/hunt")
    assert first.json() == {
        "depth": "change", "with_errors": False, "with_samples": False, "lines": [], "traits": [], "revision": 0,
    }  # fmt: skip
    problem(owner.patch("/v1/hunt", {"depth": "release"}), 428, "if-match-required")
    said = {
        "depth": "traits",
        "traits": [shelf.trait("wheels").public_id],
        "lines": [shelf.release.line.public_id],
    }
    changed = owner.patch("/v1/hunt", said, match=first["ETag"])
    assert changed.status_code == 200, changed.content
    assert changed.json() == {**first.json(), **said, "revision": 1}
    told = problem(owner.patch("/v1/hunt", {"depth": "pack"}, match=first["ETag"]), 412, "etag-stale")
    assert told["etag"] == changed["ETag"]
    assert owner.get("/v1/hunt", if_none_match=changed["ETag"]).status_code == 304
    for wrong in ({"depth": "all"}, {"traits": ["x"]}, {"member": "x"}, {"depth": "traits", "traits": []}):
        problem(owner.patch("/v1/hunt", wrong, match=changed["ETag"]), 422, "validation-failed")
    assert Caller(MemberFactory()).get("/v1/hunt").json()["revision"] == 0


def test_what_is_missing_comes_in_pages_with_how_to_tell_it_at_a_fixed_cost(owner, queries_of):
    shelf = Shelf()
    item = AssortmentItemFactory(release=shelf.release)
    CabinetItemFactory(member=owner.token.member, release=shelf.release, variant=shelf.variants["First"])
    answer = owner.get("/v1/hunt/missing")
    row = answer.json()["results"][0]
    assert (row["assortment"], row["case_code"]) == (item.assortment.public_id, item.assortment.case_code)
    assert (row["release"], row["owned"], row["known"], row["more"]) == (shelf.release.public_id, 1, 4, 0)
    blue = next(each for each in row["missing"] if each["name"] == "Blue crest")
    assert blue == {
        "kind": "variant", "id": shelf.variants["Blue crest"].public_id, "name": "Blue crest",
        "tell": "Roof crest: blue", "in_pack": True, "or_else": [],
    }  # fmt: skip
    assert owner.get("/v1/hunt/missing", if_none_match=answer["ETag"]).status_code == 304
    few = queries_of(lambda: owner.get("/v1/hunt/missing"))
    ReleaseFactory.create_batch(9)
    assert queries_of(lambda: owner.get("/v1/hunt/missing")) == few <= 13
    assert len(pages(owner, "/v1/hunt/missing", limit=4)) == 10
    assert owner.get("/v1/hunt/missing", {"fields": "release", "limit": 1}).json()["results"] == [
        {"release": shelf.release.public_id}
    ]
    problem(owner.get("/v1/hunt/missing", {"cursor": "made-up"}), 400, "cursor-mismatch")
    problem(owner.get("/v1/hunt/missing", {"depth": "release"}), 400, "parameter-unknown")


def test_a_cabinet_is_taken_along_and_brought_back(owner):
    release = ReleaseFactory()
    CabinetItemFactory(member=owner.token.member, release=release, note="=1+1")
    CabinetItemFactory(note="another's")
    table = owner.get("/v1/cabinet/export", Accept="text/csv")
    assert table["Content-Type"] == "text/csv; charset=utf-8"
    assert "'=1+1" in table.text
    assert "another's" not in table.text
    assert owner.get("/v1/cabinet/export", if_none_match=table["ETag"]).status_code == 304

    def bring(data, query=""):
        return owner.post(f"/v1/cabinet/import{query}", data.encode(), **{"Content-Type": "text/csv"})

    assert bring(table.text).json() == {"new": 0, "changed": 0, "known": 1, "faults": []}
    more = f"release,condition,count\n{release.public_id},sealed,2\n"
    assert bring(more, "?dry_run=true").json()["new"] == 1
    assert CabinetItem.objects.filter(member=owner.token.member).count() == 1
    assert bring(more).json()["new"] == 1
    told = problem(bring(more.replace("sealed", "worn")), 422, "validation-failed")
    assert told["faults"][0] == {
        "line": 2, "field": "condition", "value": "worn", "detail": "Choose one of: sealed, boxed, loose.",
    }  # fmt: skip
    problem(bring(more, "?dry_run=maybe"), 400, "parameter-out-of-range")


def test_a_token_needs_the_scope_of_the_cabinet(owner):
    reader = Caller(MemberFactory(), scopes=["read", "contribute"])
    for path in ("/v1/hunt", "/v1/hunt/missing", "/v1/cabinet/export"):
        problem(reader.get(path), 403, "scope-missing")
        assert owner.get(path)["Cache-Control"] == "private, no-store"
        foreign = owner.get(path, Origin="https://evil.example")
        assert "Access-Control-Allow-Origin" not in foreign, path
    assert Caller().get("/v1/hunt").status_code == 401
