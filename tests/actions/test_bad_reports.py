"""Every part of a report that is not what it should be is refused by name, with its value and the remedy."""

import pytest

from registry import actions
from registry.errors import InTheFuture, InvalidField, UnknownReference
from tests.factories import PhotoFactory, StateFactory, TraitFactory
from tests.path import Scene, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def send(draft):
    return actions.send_submission(submission=draft, by=draft.author, at=now())


def claim(scene, **said):
    return {"trait": scene.crest.public_id, "state": scene.anchor.public_id, **said}


def with_photo(scene, **content):
    """A draft with a photo and an example of its own, called `P` and `ref:e` in what is said of it."""
    draft = scene.draft(claims=[claim(scene)], examples=[{"ref": "e", "condition": "loose"}])
    photo = PhotoFactory(submission=draft)
    named = {
        part: [
            {key: photo.public_id if value == "P" else value for key, value in item.items()} for item in items
        ]
        for part, items in content.items()
    }
    return actions.edit_draft(submission=draft, by=draft.author, at=now(), content={**draft.content, **named})


@pytest.mark.parametrize(
    "unknown", ["2222222222222", "zzzz-zzzz-zzzz", "", "ref:t9", 7, None, ["x"], "x" * 500]
)
def test_an_unknown_trait_is_refused(scene, unknown):
    draft = scene.draft(claims=[claim(scene, trait=unknown)])
    with refused(UnknownReference, field="claims[0].trait") as caught:
        send(draft)
    assert caught.value.code == "unknown-reference"


@pytest.mark.parametrize("unknown", ["2222222222222", "ref:s9", 7, None, {"id": 1}])
def test_an_unknown_state_is_refused(scene, unknown):
    draft = scene.draft(claims=[claim(scene, state=unknown)])
    with refused(UnknownReference, field="claims[0].state"):
        send(draft)


def test_a_state_of_another_trait_is_refused(scene):
    draft = scene.draft(claims=[claim(scene, state=scene.red.public_id)])
    with refused(InvalidField, field="claims[0].state", says=["red", "Side stripe", "Roof crest"]):
        send(draft)


def test_a_trait_the_release_has_not_adopted_is_refused(scene):
    winch = TraitFactory(line=scene.release.line, name="Winch")
    drum = StateFactory(trait=winch)
    draft = scene.draft(claims=[claim(scene, trait=winch.public_id, state=drum.public_id)])
    with refused(InvalidField, field="claims[0].trait", says=["Winch", "not adopted", "propose"]):
        send(draft)


def test_two_states_of_one_trait_are_refused(scene):
    draft = scene.draft(claims=[claim(scene), claim(scene, state=scene.gull.public_id)])
    with refused(InvalidField, field="claims[1].trait", says=["Roof crest", "one state"]):
        send(draft)


@pytest.mark.parametrize("kind", ["differs", "", 1, ["difference"]])
def test_a_claim_of_another_kind_is_refused(scene, kind):
    draft = scene.draft(claims=[claim(scene, kind=kind)])
    with refused(InvalidField, field="claims[0].kind", says=[repr(kind), "difference, alike, stated"]):
        send(draft)


@pytest.mark.parametrize("part", ["claims", "examples", "photos", "marks", "sightings"])
@pytest.mark.parametrize("said", ["x", 7, {"a": 1}, ["x"], [["x"]]])
def test_a_part_that_is_no_list_of_objects_is_refused(scene, part, said):
    draft = scene.draft(**{"claims": [claim(scene)], part: said})
    with refused(InvalidField, field=part, says=["list of objects"]):
        send(draft)


def test_more_claims_than_anyone_makes_are_refused(scene):
    draft = scene.draft(claims=[claim(scene)] * 201)
    with refused(InvalidField, field="claims", says=["201", "at most 200"]):
        send(draft)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"title": "x" * 121}, "title"),
        ({"title": "\u202egull"}, "title"),
        ({"title": ["gull"]}, "title"),
        ({"nicknames": "gull"}, "nicknames"),
        ({"nicknames": [7]}, "nicknames"),
        ({"nicknames": ["a"] * 13}, "nicknames"),
        ({"nicknames": ["gu\u200bll"]}, "nicknames"),
        ({"noticed_in": "x" * 201}, "noticed_in"),
    ],
)
def test_text_that_cannot_be_shown_is_refused(scene, said, field):
    draft = scene.draft(claims=[claim(scene)], **said)
    with refused(InvalidField, field=field):
        send(draft)


@pytest.mark.parametrize(
    ("said", "error", "field"),
    [
        ({"condition": "worn"}, InvalidField, "examples.condition"),
        ({"condition": None}, InvalidField, "examples.condition"),
        ({"found_month": "2026-13"}, InvalidField, "examples.found_month"),
        ({"found_month": "soon"}, InvalidField, "examples.found_month"),
        ({"found_month": 202601}, InvalidField, "examples.found_month"),
        ({"found_month": "2026-07"}, InTheFuture, "examples.found_month"),
        ({"found_month": "1899-12"}, InvalidField, "examples.found_month"),
        ({"country": "Holland"}, InvalidField, "country"),
        ({"country": "N1"}, InvalidField, "country"),
        ({"region": "Dock Street 4"}, InvalidField, "region"),
        ({"region": "1011 AB"}, InvalidField, "region"),
        ({"found_shop": ["kiosk"]}, InvalidField, "found_shop"),
        ({"found_case": "x" * 41}, InvalidField, "found_case"),
    ],
)
def test_an_example_that_makes_no_sense_is_refused(scene, said, error, field):
    draft = scene.draft(claims=[claim(scene)], examples=[{"ref": "e", "condition": "loose", **said}])
    with refused(error, field=field):
        send(draft)


@pytest.mark.parametrize(
    ("said", "error", "field"),
    [
        ({"photo": "2222222222222"}, UnknownReference, "photos.photo"),
        ({"photo": None}, UnknownReference, "photos.photo"),
        ({"views": ["inside out"]}, InvalidField, "photos.views"),
        ({"views": "base"}, InvalidField, "photos.views"),
        ({"views": 7}, InvalidField, "photos.views"),
        ({"examples": ["ref:x"]}, UnknownReference, "photos.examples"),
        ({"examples": 7}, InvalidField, "photos.examples"),
        ({"examples": "ref:e"}, InvalidField, "photos.examples"),
        ({"examples": [None]}, UnknownReference, "photos.examples"),
    ],
)
def test_what_is_said_of_a_photo_must_make_sense(scene, said, error, field):
    draft = with_photo(scene, photos=[{"photo": "P", **said}])
    with refused(error, field=field):
        send(draft)


@pytest.mark.parametrize("mine", ["false", "no", 0, 1, ["yes"]])
def test_whose_an_example_is_must_be_said_plainly(scene, mine):
    draft = scene.draft(claims=[claim(scene)], examples=[{"ref": "e", "condition": "loose", "mine": mine}])
    with refused(InvalidField, field="examples.mine", says=["true or false"]):
        send(draft)


def test_two_examples_of_one_ref_are_refused(scene):
    examples = [{"ref": "e", "condition": condition} for condition in ("loose", "sealed")]
    draft = scene.draft(claims=[claim(scene)], examples=examples)
    with refused(InvalidField, field="examples.ref", says=["'e'", "once"]):
        send(draft)


def test_a_photo_of_another_report_is_refused(scene):
    draft = scene.draft(claims=[claim(scene)], photos=[{"photo": PhotoFactory().public_id}])
    with refused(InvalidField, field="photos.photo", says=["to this report"]):
        send(draft)


@pytest.mark.parametrize(
    "xywh",
    ["percent:90,0,20,20", "percent:0,90,20,20", "percent:0,0,0,20", "percent:0,0,20,0", "percent:-1,0,5,5",
     "percent:101,0,5,5", "pixel:0,0,5,5", "0,0,5,5", "percent:0,0,5", "", "percent:٠,٠,٥,٥", "x" * 500],
)  # fmt: skip
def test_a_mark_outside_the_picture_is_refused(scene, xywh):
    mark = {"photo": "P", "example": "ref:e", "trait": scene.crest.public_id, "xywh": xywh}
    draft = with_photo(scene, marks=[mark])
    with refused(InvalidField, field="xywh"):
        send(draft)


@pytest.mark.parametrize(
    ("said", "error", "field"),
    [
        ({"of": "other"}, InvalidField, "marks.of"),
        ({"of": "base"}, InvalidField, "marks.of"),
        ({"trait": "2222222222222"}, UnknownReference, "marks.trait"),
        ({"photo": "2222222222222"}, UnknownReference, "marks.photo"),
        ({"example": "ref:x"}, UnknownReference, "marks.example"),
        ({"example": None}, UnknownReference, "marks.example"),
        ({"xywh": 7}, InvalidField, "xywh"),
    ],
)
def test_what_a_mark_names_must_be_there(scene, said, error, field):
    mark = {
        "photo": "P",
        "example": "ref:e",
        "trait": scene.crest.public_id,
        "xywh": "percent:0,0,9,9",
        **said,
    }
    draft = with_photo(scene, marks=[mark])
    with refused(error, field=field):
        send(draft)


def test_a_mark_on_a_trait_without_a_claim_is_refused(scene):
    mark = {"photo": "P", "example": "ref:e", "trait": scene.stripe.public_id, "xywh": "percent:0,0,9,9"}
    draft = with_photo(scene, marks=[mark])
    with refused(InvalidField, field="marks.trait", says=["Side stripe", "Say its state first"]):
        send(draft)
