"""How the steps of a report edit a draft's content: each gives new content and leaves the old one alone."""

from copy import deepcopy

from registry.web import drafts
from registry.web.tidy import tidy

CONTENT = {
    "title": "Chrome",
    "claims": [
        {"trait": "t", "state": "ref:s1"},
        {"trait": "ref:t1", "state": "ref:s2"},
        {"trait": "u", "state": "v"},
    ],
    "examples": [{"ref": "e1", "condition": "loose"}, {"ref": "e2", "condition": "sealed"}],
    "photos": [{"photo": "p", "examples": ["ref:e1", "ref:e2"], "views": ["top"]}],
    "marks": [
        {"photo": "p", "example": "ref:e1", "trait": "ref:t1", "xywh": "percent:1,2,3,4"},
        {"photo": "p", "example": "ref:e2", "trait": "u", "xywh": "percent:1,2,3,4"},
    ],
    "sightings": [{"scope": "peg", "seen_on": "2026-03-14", "n": 3}],
    "proposes": {
        "traits": [{"ref": "t1", "name": "Rungs", "place": "rear"}],
        "states": [
            {"ref": "s1", "trait": "t", "name": "five"},
            {"ref": "s2", "trait": "ref:t1", "name": "six"},
        ],
    },
}


def test_taking_a_proposed_state_back_takes_its_claims_along():
    before = deepcopy(CONTENT)
    content = drafts.drop_proposal(CONTENT, "states", "s1")
    assert [claim["trait"] for claim in content["claims"]] == ["ref:t1", "u"]
    assert CONTENT == before


def test_taking_a_proposed_detail_back_takes_its_states_claims_and_marks_along():
    content = drafts.drop_proposal(CONTENT, "traits", "t1")
    assert [claim["trait"] for claim in content["claims"]] == ["t", "u"]
    assert [state["ref"] for state in content["proposes"]["states"]] == ["s1"]
    assert [mark["trait"] for mark in content["marks"]] == ["u"]


def test_taking_an_item_back_takes_it_from_photographs_and_marks():
    content = drafts.drop_example(CONTENT, "e1")
    assert [example["ref"] for example in content["examples"]] == ["e2"]
    assert content["photos"][0]["examples"] == ["ref:e2"]
    assert [mark["example"] for mark in content["marks"]] == ["ref:e2"]


def test_a_new_item_gets_a_name_that_no_other_has():
    content = drafts.add_example(drafts.drop_example(CONTENT, "e1"), {"condition": "boxed"})
    assert [example["ref"] for example in content["examples"]] == ["e2", "e1"]
    assert drafts.add_example(CONTENT, {"condition": "boxed"})["examples"][-1]["ref"] == "e3"


def test_a_mark_says_that_the_photograph_shows_its_item():
    content = drafts.add_mark(
        {}, {"photo": "p", "example": "ref:e1", "trait": "t", "xywh": "percent:1,2,3,4"}
    )
    assert content["photos"] == [{"photo": "p", "examples": ["ref:e1"], "views": []}]
    again = drafts.add_mark(
        content, {"photo": "p", "example": "ref:e1", "trait": "u", "xywh": "percent:1,2,3,4"}
    )
    assert again["photos"] == content["photos"]
    assert [mark["trait"] for mark in drafts.drop_mark(again, 0)["marks"]] == ["u"]


def test_saying_that_a_proposal_is_another_marks_each_of_its_kind():
    content = drafts.say_is_new(CONTENT, "proposes.states.name")
    assert [state["is_new"] for state in content["proposes"]["states"]] == [True, True]
    release = drafts.propose({}, "release", {"name": "Foghorn"})
    assert drafts.say_is_new(release, "proposes.release.name")["proposes"]["release"]["is_new"]
    assert drafts.propose(release, "release", None)["proposes"] == {}


def test_tidying_keeps_what_the_steps_write_as_it_is():
    assert tidy(CONTENT) == {**CONTENT, "nicknames": []}


def test_tidying_leaves_out_what_has_no_shape():
    strange = {
        "claims": [1, {"trait": "t"}, {"trait": "t", "state": "s"}],
        "marks": [{**CONTENT["marks"][0], "xywh": "x"}],
    }
    assert tidy(strange)["claims"] == [{"trait": "t", "state": "s"}]
    assert tidy(strange)["marks"] == []
    assert tidy({"sightings": [{"scope": "peg", "seen_on": "soon"}]})["sightings"] == []
    assert tidy("nonsense")["claims"] == []
