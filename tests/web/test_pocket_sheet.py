"""The pocket sheet: a printed key, the data that its script answers from, and the worker that keeps both."""

import json
from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from PIL import Image

from registry.methods.crops import MOST_BYTES, SMALL
from registry.methods.identify import Expectations, Table, Trait, identify
from registry.methods.identify.plain import answer_as_plain, observation_of
from registry.models import Release
from registry.queries.identify import Scope, known_in, pictures
from tests.factories import MarkFactory, PhotoFactory, ReleaseFactory, SubmissionFactory
from tests.path import Scene, now
from tests.pictures import jpeg
from tests.shelf import Shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return Shelf()


def sheet(shelf):
    return Client().get(f"/pocket/{shelf.release.public_id}")


def data(shelf, **headers):
    return Client().get(f"/pocket/{shelf.release.public_id}.json", headers=headers)


def test_the_page_depends_on_the_language_chosen(shelf):
    assert "Cookie" in sheet(shelf).headers["Vary"]


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


def pictured(shelf, trait, state, stored=True):
    """A mark on a photo for the first variant that has this state."""
    claim = shelf.states[trait, state].claims.first()
    photo = PhotoFactory(submission__sent_at=now())
    if stored:
        default_storage.save(photo.stored_as("800"), ContentFile(jpeg(800, 533)))
    return MarkFactory(claim=claim, photo=photo, x=7_000, y=7_000, w=2_900, h=2_900)


def test_states_have_small_pictures_of_bounded_weight(shelf):
    mark, gone = pictured(shelf, "wheels", "gold"), pictured(shelf, "crest", "red", stored=False)
    crops = data(shelf).json()["crops"]
    assert crops == {
        shelf.states["wheels", "gold"].public_id: f"/pocket/{shelf.release.public_id}/{mark.public_id}.jpg",
        shelf.states["crest", "red"].public_id: f"/pocket/{shelf.release.public_id}/{gone.public_id}.jpg",
    }
    small, missing = (Client().get(address) for address in crops.values())
    assert (small["Content-Type"], missing.status_code) == ("image/jpeg", 404)
    assert len(small.content) <= MOST_BYTES
    with Image.open(BytesIO(small.content)) as picture:
        assert (picture.format, picture.size) == ("JPEG", SMALL)
        assert not picture.getexif()


def test_a_picture_goes_with_its_mark_its_photo_or_its_claim(shelf):
    mark = pictured(shelf, "wheels", "gold")
    address = data(shelf).json()["crops"][shelf.states["wheels", "gold"].public_id]
    other = address.replace(shelf.release.public_id, ReleaseFactory().public_id)
    assert [Client().get(each).status_code for each in (address, other)] == [200, 404]
    draft = SubmissionFactory(sent_at=None)
    for thing, field, before, after in (
        (mark, "removed_at", None, now()),
        (mark.photo, "taken_down_at", None, now()),
        (mark.photo, "submission", mark.photo.submission, draft),
        (mark.claim, "closed_at", None, now()),
    ):
        type(thing).objects.filter(pk=thing.pk).update(**{field: after})
        assert Client().get(address).status_code == 404, field
        type(thing).objects.filter(pk=thing.pk).update(**{field: before})
    assert Client().get(address).status_code == 200


def test_no_more_pictures_than_the_bound_are_kept(shelf, monkeypatch):
    pictured(shelf, "wheels", "gold")
    pictured(shelf, "wheels", "silver")
    monkeypatch.setattr(pictures, "MOST_CROPS", 1)
    assert len(data(shelf).json()["crops"]) == 1


def test_the_data_costs_the_same_for_more_pictures(shelf):
    costs = []
    for state in ("gold", "silver"):
        pictured(shelf, "wheels", state)
        with CaptureQueriesContext(connection) as asked:
            data(shelf)
        costs.append(len(asked))
    assert costs[0] == costs[1] <= 12


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
    assert '"/pocket/", "/words/", "/static/"' in answer.text


def test_a_sheet_names_nobody_though_somebody_signed_in_opens_it(as_member):
    scene = Scene()
    scene.baseline()
    text = as_member(scene.reviewers[0]).get(f"/pocket/{scene.release.public_id}").text
    assert scene.reviewers[0].display_name not in text
