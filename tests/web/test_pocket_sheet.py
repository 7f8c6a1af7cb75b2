"""The pocket sheet: a printed key, the data that its script answers from, and the worker that keeps both."""

import json

import pytest
from django.test import Client

from registry.methods.identify import Expectations, Table, Trait, identify
from registry.methods.identify.plain import answer_as_plain, observation_of
from registry.models import Release
from registry.queries.identify import Scope, known_in
from tests.factories import ReleaseFactory
from tests.path import Scene, now
from tests.shelf import Shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return Shelf()


def sheet(shelf):
    return Client().get(f"/pocket/{shelf.release.public_id}")


def data(shelf, **headers):
    return Client().get(f"/pocket/{shelf.release.public_id}.json", headers=headers)


def test_the_key_leads_to_every_variant(shelf):
    text = sheet(shelf).text
    assert "1. Front wheels: gold, go to" in text
    assert all(text.count(title) >= 2 for title in shelf.variants)
    assert "Before the first List" in text


def test_through_the_pack_there_is_a_key_of_its_own_with_what_it_leaves_alike(shelf):
    text = sheet(shelf).text
    assert "Through the pack" in text
    assert "First and Dated base cannot be told apart by these checks." in text


def test_where_the_pack_shows_all_one_key_will_do():
    text = sheet(Shelf({"Gold": {"wheels": "gold"}, "Silver": {"wheels": "silver"}})).text
    assert "Through the pack" not in text
    assert "1. Front wheels: gold, Gold; silver, Silver." in text


def test_it_says_after_which_list_it_was_read():
    from registry import actions

    scene = Scene()
    scene.baseline()
    actions.publish_edition(by=scene.moderator, at=now())
    assert "After List no. 1" in Client().get(f"/pocket/{scene.release.public_id}").text
    assert Client().get(f"/pocket/{scene.release.public_id}.json").json()["list"] == 1


def test_the_data_answers_as_the_server_does(shelf):
    shelf.count(First=3, Dated_base=1)
    said, known = data(shelf).json(), known_in(Scope("release", shelf.release.public_id))
    table = said["table"]
    traits = [Trait(t["key"], tuple(t["states"]), effort=t["effort"]) for t in table["traits"]]
    read = Expectations(Table(tuple(table["variants"]), tuple(traits), table["cells"]), **said["options"])
    wheels = shelf.states["wheels", "gold"]
    seen = [observation_of({"trait": wheels.trait.public_id, "seen": wheels.public_id})]
    mine, theirs = (answer_as_plain(identify(each, seen)) for each in (read, known.expectations()))
    assert json.dumps(mine["candidates"]) == json.dumps(theirs["candidates"])
    assert mine["not_listed"] == theirs["not_listed"]


def test_every_trait_state_and_variant_of_the_data_has_its_words(shelf):
    said = data(shelf).json()
    assert {t["key"] for t in said["table"]["traits"]} == set(said["details"])
    assert all(set(t["states"]) == set(said["details"][t["key"]]["states"]) for t in said["table"]["traits"])
    assert set(said["table"]["variants"]) == set(said["variants"])


def test_data_that_has_not_changed_is_not_sent_again(shelf):
    first = data(shelf)
    assert first["Cache-Control"] == "no-cache"
    assert data(shelf, if_none_match=first["ETag"]).status_code == 304
    shelf.add("Fifth", wheels="white")
    assert data(shelf, if_none_match=first["ETag"]).status_code == 200


def test_a_merged_release_leads_to_its_survivors_sheet(shelf):
    gone = ReleaseFactory(line=shelf.release.line)
    Release.objects.filter(pk=gone.pk).update(acceptance="merged", merged_into=shelf.release)
    assert Client().get(f"/pocket/{gone.public_id}")["Location"] == f"/pocket/{shelf.release.public_id}"


def test_a_release_without_variants_has_a_sheet_that_says_so():
    answer = sheet(Shelf({}))
    assert "No variant is known" in answer.text
    assert "pocket.js" not in answer.text


def test_the_worker_is_asked_for_anew_each_time():
    answer = Client().get("/sw.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert '"/pocket/", "/static/"' in answer.text


def test_a_sheet_names_nobody_though_somebody_signed_in_opens_it(as_member):
    scene = Scene()
    scene.baseline()
    text = as_member(scene.reviewers[0]).get(f"/pocket/{scene.release.public_id}").text
    assert scene.reviewers[0].display_name not in text
