"""The private cabinet: its owner's alone (T26)."""

import pytest

from registry.methods.identifiers import mint
from registry.models import CabinetItem
from tests.factories import CabinetItemFactory, ExampleFactory, MemberFactory, ReleaseFactory, VariantFactory

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    return Caller(MemberFactory())


def test_an_item_is_put_in_changed_and_taken_out(owner):
    variant = VariantFactory()
    said = {"release": variant.release.public_id, "condition": "loose", "count": 2, "note": "top shelf"}
    made = owner.post("/v1/cabinet", said)
    assert made.status_code == 201, made.content
    address, etag = made["Location"], made["ETag"]
    assert owner.get(address)["ETag"] == etag
    problem(owner.patch(address, {"count": 3}), 428, "if-match-required")
    changed = owner.patch(address, {"variant": variant.public_id, "to_swap": 1}, match=etag)
    assert (changed.json()["variant"], changed.json()["count"], changed.json()["revision"]) == (
        variant.public_id,
        2,
        2,
    )
    told = problem(owner.patch(address, {"count": 9}, match=etag), 412, "etag-stale")
    assert (told["revision"], told["etag"]) == (2, changed["ETag"])
    cleared = owner.patch(address, {"variant": None}, match=changed["ETag"])
    assert cleared.json()["variant"] is None
    problem(owner.delete(address), 428, "if-match-required")
    problem(owner.delete(address, match=etag), 412, "etag-stale")
    assert owner.delete(address, match=cleared["ETag"]).status_code == 204
    problem(owner.get(address), 404, "not-found")


def test_T26_every_verb_on_anothers_item_looks_like_an_invented_id(owner):
    item = CabinetItemFactory()
    for method in ("GET", "PATCH", "DELETE"):
        body = {} if method == "PATCH" else None
        answers = [
            owner.send(method, f"/v1/cabinet/{one}", body, If_Match="*") for one in (item.public_id, mint())
        ]
        told = [problem(answer, 404, "not-found") | {"instance": ""} for answer in answers]
        assert told[0] == told[1]
        assert len(answers[0].content) == len(answers[1].content)
    assert pages(owner, "/v1/cabinet") == []
    assert CabinetItem.objects.get() == item


def test_T25_an_owner_or_revision_cannot_be_written(owner):
    said = {"release": ReleaseFactory().public_id, "condition": "loose"}
    for key in ("member", "owner", "revision", "id", "standing"):
        told = problem(owner.post("/v1/cabinet", {**said, key: 1}), 422, "validation-failed")
        assert told["errors"][0]["pointer"] == f"/{key}"
    assert not CabinetItem.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"count": 0}, "/count"),
        ({"count": "2"}, "/count"),
        ({"to_swap": 5}, "/to_swap"),
        ({"condition": "mint"}, "/condition"),
    ],
)
def test_what_cannot_be_owned_is_refused(wrong, pointer, owner):
    said = {"release": ReleaseFactory().public_id, "condition": "loose", "count": 2, **wrong}
    assert (
        problem(owner.post("/v1/cabinet", said), 422, "validation-failed")["errors"][0]["pointer"] == pointer
    )


def test_anothers_example_cannot_be_named(owner):
    example = ExampleFactory()
    said = {"release": example.release.public_id, "condition": "loose", "example": example.public_id}
    told = problem(owner.post("/v1/cabinet", said), 422, "validation-failed")
    assert told["errors"][0]["code"] == "unknown-reference"


def test_a_cabinet_costs_the_same_however_full_it_is(owner, queries_of):
    CabinetItemFactory.create_batch(2, member=owner.token.member)
    owner.get("/v1/me")  # notes the first use of the token
    few = queries_of(lambda: owner.get("/v1/cabinet"))
    CabinetItemFactory.create_batch(18, member=owner.token.member)
    assert queries_of(lambda: owner.get("/v1/cabinet")) == few <= 6
    assert len(pages(owner, "/v1/cabinet", limit=7)) == 20
