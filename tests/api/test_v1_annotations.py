"""Marks over the API as W3C Web Annotations."""

import json

import pytest

from registry import actions
from registry.models import Member
from tests.factories import MarkFactory, MemberFactory, PhotoFactory
from tests.methods.test_annotations import faults
from tests.path import Scene, now

from .caller import Caller, problem

pytestmark = pytest.mark.django_db
KIND = 'application/ld+json; profile="http://www.w3.org/ns/anno.jsonld"'


def test_marks_are_told_as_web_annotations(queries_of):
    scene = Scene()
    variant = scene.report(scene.anchor, scene.red)
    photo = scene.show(variant).photos.get()
    mark = photo.marks.order_by("pk")[0]
    answer = Caller().get(f"/v1/marks/{mark.public_id}/annotation", accept=KIND)
    assert (answer.status_code, answer["Content-Type"]) == (200, KIND)
    told = json.loads(answer.content)
    assert faults(told) == []
    assert told["id"] == f"http://testserver/v1/marks/{mark.public_id}/annotation"
    assert told["target"]["selector"]["value"] == mark.fragment == "xywh=percent:10,10,20,20"
    assert told["creator"]["nickname"] == mark.by.public_id
    for body in told["body"][1:3]:
        assert Caller().get(body["source"].removeprefix("http://testserver")).status_code == 200
    again = Caller().get(f"/v1/marks/{mark.public_id}/annotation", if_none_match=answer["ETag"])
    assert again.status_code == 304
    problem(Caller().get(f"/v1/marks/{mark.public_id}/annotation", accept="text/csv"), 406, "representation")
    address = f"/v1/photos/{photo.public_id}/annotations"
    few = queries_of(lambda: Caller().get(address))
    for _ in range(3):
        MarkFactory(photo=photo, claim=mark.claim, example=mark.example, by=photo.owner)
    assert queries_of(lambda: Caller().get(address)) == few <= 5
    marks, following, pages = [], f"{address}?limit=2", 0
    while following:
        page = json.loads(Caller().get(following).content)
        assert page["type"] == "AnnotationPage"
        assert [faults(item, is_whole=False) for item in page["items"]] == [[]] * len(page["items"])
        marks += [item["id"] for item in page["items"]]
        following, pages = page.get("next"), pages + 1
    assert (len(set(marks)), len(marks), pages) == (5, 5, 3)
    problem(Caller().get(address, {"fields": "id"}), 400, "parameter-unknown")
    by = Member.objects.get(pk=mark.by_id)
    actions.erase_member(by=by, at=now())
    told = json.loads(Caller().get(f"/v1/marks/{mark.public_id}/annotation").content)
    assert "creator" not in told
    assert faults(told) == []
    hidden = MarkFactory(photo=PhotoFactory(submission__release=scene.release), by=MemberFactory())
    problem(Caller().get(f"/v1/marks/{hidden.public_id}/annotation"), 404, "not-found")
    actions.remove_mark(mark=mark, by=scene.moderator, at=now(), reason="The shadow.")
    problem(Caller().get(f"/v1/marks/{mark.public_id}/annotation"), 404, "not-found")
