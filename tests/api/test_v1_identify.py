"""POST /v1/identify, which changes nothing, and GET /v1/releases/{id}/checks."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from api.throttles import AskThrottle
from registry.models import KeptReply, Release
from tests.factories import MemberFactory, ReleaseFactory
from tests.shelf import Shelf

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return Shelf()


def body(shelf, **more):
    return {"scope": {"release": shelf.release.public_id}, **more}


def ask(sent, caller=None):
    return (caller or Caller()).send("POST", "identify", sent)


def test_anybody_may_ask_without_an_account_and_without_a_key(shelf):
    told = ask(body(shelf, observed=shelf.said(wheels="silver", crest="blue"))).json()
    assert told["ranking"][0]["variant"] == shelf.variants["Blue crest"].public_id
    assert told["ranking"][0]["probability"] > 8_000
    assert told["advice"]["reason"] in ("settled", "little_to_gain", "go_on")


def test_asking_keeps_nothing_and_is_never_cached(shelf):
    answer = ask(body(shelf), Caller(MemberFactory(), scopes=["read"]))
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    assert not KeptReply.objects.exists()


def test_a_list_of_items_is_answered_in_its_order(shelf):
    seen = [{"crest": {"state": "blue"}}, {}, {"base": {"state": "dated"}}]
    answer = ask({"items": [body(shelf, observed=each, prior="flat") for each in seen]})
    told = answer.json()
    assert [each["ranking"][0]["title"] for each in told] == ["Blue crest", "First", "Dated base"]
    assert told[1] == ask(body(shelf, prior="flat")).json()


def test_a_thousand_items_are_answered_with_the_same_queries_as_two(shelf):
    costs = []
    for n in (2, 1_000):
        with CaptureQueriesContext(connection) as asked:
            assert len(ask({"items": [body(shelf, limit=1)] * n}).json()) == n
        costs.append(len(asked))
    assert costs[0] == costs[1] <= 12
    problem(ask({"items": [body(shelf)] * 1_001}), 422, "validation-failed")


def test_the_scope_may_be_a_casting_a_line_or_all(shelf):
    line, casting = shelf.release.line, shelf.release.casting
    Shelf({"Re-issue": {"wheels": "white"}}, ReleaseFactory(line=line, casting=casting))
    for scope in ({"casting": casting.public_id}, {"line": line.public_id}, {"all": True}):
        assert ask({"scope": scope}).json()["variants"] == 5, scope


@pytest.mark.parametrize(
    ("scope", "pointer"),
    [
        ({}, "/scope"),
        ({"all": False}, "/scope"),
        ({"release": "4k7d9xwpm2cx"}, "/scope/release"),
        ({"release": "not an id"}, "/scope/release"),
        ({"gtin": "6291041500214"}, "/scope/gtin"),
        ({"gtin": "6291041500213"}, "/scope/gtin"),
        ({"all": True, "line": "4k7d9xwpm2cx"}, "/scope"),
        ({"maker": "x"}, "/scope/maker"),
    ],
)
def test_a_scope_that_cannot_be_taken_is_422_at_its_place(scope, pointer):
    told = problem(ask({"scope": scope}), 422, told_slug(scope))
    assert told["errors"][0]["pointer"].startswith(pointer)


def told_slug(scope):
    unknown = scope in ({"release": "4k7d9xwpm2cx"}, {"gtin": "6291041500213"})
    return "unknown-reference" if unknown else "validation-failed"


def test_a_state_of_another_casting_is_422_and_named(shelf):
    other = Shelf({"Red": {"crest": "anchor"}}, ReleaseFactory())
    said = {"crest": {"state": other.states["crest", "anchor"].public_id}}
    told = problem(ask(body(shelf, observed=said)), 422, "unknown-reference")
    assert told["errors"][0]["pointer"] == "/observed/crest"
    assert "anchor, a state of Roof crest" in told["detail"]
    batch = problem(ask({"items": [body(shelf), body(shelf, observed=said)]}), 422, "unknown-reference")
    assert batch["errors"][0]["pointer"] == "/items/1/observed/crest"


@pytest.mark.parametrize(
    "more",
    [
        {"observed": {"crest": {"state": 3}}},
        {"observed": {"crest": {"colour": "red"}}},
        {"observed": {"crest": {"value": "NaN", "error": 1}}},
        {"observed": {"length": {"value": 3.5, "error": 0}}},
        {"observed": []},
        {"can": ["x-ray"]},
        {"prior": "price"},
        {"limit": 0},
        {"limit": True},
        {"owner": "me"},
    ],
)
def test_bad_input_is_422(shelf, more):
    problem(ask(body(shelf, **more)), 422, "validation-failed")


def test_five_hundred_details_at_once_are_too_many_keys(shelf):
    problem(
        ask(body(shelf, observed={f"t{n}": {"not_sure": True} for n in range(500)})), 400, "malformed-json"
    )


@pytest.mark.parametrize("said", [{}, {"not_visible": True}, {"not_sure": True}])
def test_nothing_seen_is_answered_with_what_is_found_how_often(shelf, said):
    """Nothing observed, and all of it not visible or not told: the ranking stays, and its summary says why."""
    told = ask(body(shelf, observed={key: said for key in shelf.traits} if said else {})).json()
    assert (told["variants"], told["fitting"], len(told["ranking"])) == (4, 4, 4)
    assert len({each["probability"] for each in told["ranking"]}) == 1
    assert told["summary"].startswith("Nothing has been seen yet")
    assert told["not_listed"] == {"probability": 500, "is_likeliest": False}
    assert (told["next_check"] is None) is bool(said)


def test_a_release_with_no_variant_or_one_is_answered():
    none = ask(body(Shelf({}))).json()
    assert (none["ranking"], none["summary"]) == ([], "No variant is listed here yet.")
    assert none["not_listed"] == {"probability": 10_000, "is_likeliest": True}
    shelf = Shelf({"Only": {"wheels": "gold", "crest": "red"}})
    right = ask(body(shelf, observed=shelf.said(wheels="gold", crest="red"))).json()
    wrong = ask(body(shelf, observed={key: {"none_of_these": True} for key in shelf.traits})).json()
    assert right["ranking"][0]["probability"] > 9_000
    assert wrong["fitting"] == 0
    assert wrong["not_listed"]["probability"] > 2_000 > 500 > right["not_listed"]["probability"]
    assert wrong["summary"].startswith("No listed variant has all of this")


def test_two_alike_in_all_that_is_known_share_the_answer_and_are_named_as_a_pair():
    shelf = Shelf({"One": {"wheels": "gold"}, "Two": {"wheels": "gold"}, "Three": {"wheels": "white"}})
    told = ask(body(shelf, observed=shelf.said(wheels="gold"))).json()
    assert [each["title"] for each in told["ranking"]] == ["One", "Two", "Three"]
    assert told["ranking"][0]["probability"] == told["ranking"][1]["probability"]
    assert (told["fitting"], told["next_check"]) == (2, None)
    alike = checks(shelf).json()["alike"]
    assert [pair["words"] for pair in alike] == ["One and Two are the same in every detail known here."]


def test_mostly_unknown_details_are_answered_and_said_to_be_unknown():
    shelf = Shelf({"Bare": {}, "First": {"wheels": "gold"}, "Other": {"crest": "red"}})
    told = ask(body(shelf, observed=shelf.said(wheels="gold", crest="red"))).json()
    assert (told["variants"], told["fitting"]) == (3, 3)
    words = [
        line for each in told["ranking"] for kind in ("for", "against", "neither") for line in each[kind]
    ]
    assert any("not known for this one" in line for line in words)


def test_contradictory_observations_are_answered(shelf):
    told = ask(body(shelf, observed=shelf.said(wheels="gold", crest="blue"))).json()
    assert (told["fitting"], len(told["ranking"])) == (0, 4)
    assert told["summary"].startswith("No listed variant has all of this")


def test_a_list_counts_as_one_reading_for_every_ten_items(shelf, monkeypatch):
    monkeypatch.setattr(AskThrottle, "get_rate", lambda self: "20/min")
    answer = ask({"items": [body(shelf)] * 95})
    assert "r=10;" in answer["RateLimit"]
    assert ask({"items": [body(shelf)] * 101}).status_code == 429
    assert ask(body(shelf)).status_code == 200
    assert ask({"items": [body(shelf)] * 1_000}).status_code == 429


# Minimal checks -----------------------------------------------------------------------------------------------------


def checks(shelf, **query):
    return Caller().get(f"releases/{shelf.release.public_id}/checks", query)


def test_the_checks_of_a_release_are_told_with_their_states(shelf):
    answer = checks(shelf)
    told = answer.json()
    assert [each["name"] for each in told["checks"]] == ["Base text", "Front wheels", "Roof crest"]
    assert {state["name"] for state in told["checks"][1]["states"]} == {"gold", "silver"}
    again = Caller().get(f"releases/{shelf.release.public_id}/checks", if_none_match=answer["ETag"])
    assert again.status_code == 304


def test_the_checks_in_the_pack_name_the_pairs_that_stay_alike(shelf):
    told = checks(shelf, in_pack="true").json()
    assert told["alike_count"] == 1
    pair = {shelf.variants[title].public_id for title in ("First", "Dated base")}
    assert set(told["alike"][0]["variants"]) == pair


def test_the_checks_of_one_variant_take_its_id_in_any_spelling(shelf):
    name = shelf.variants["Dated base"].shown_id.upper()
    told = checks(shelf, variant=name).json()
    assert told["variant"] == shelf.variants["Dated base"].public_id
    assert [each["name"] for each in told["checks"]] == ["Base text"]


@pytest.mark.parametrize("query", [{"in_pack": "yes"}, {"variant": "4k7d9xwpm2cx"}, {"variant": "x"}])
def test_a_parameter_that_cannot_be_used_is_400(shelf, query):
    problem(checks(shelf, **query), 400, "parameter-out-of-range")


def test_a_merged_release_leads_to_its_survivor(shelf):
    gone = ReleaseFactory(line=shelf.release.line)
    Release.objects.filter(pk=gone.pk).update(acceptance="merged", merged_into=shelf.release)
    answer = Caller().get(f"releases/{gone.public_id}/checks")
    assert answer.status_code == 301
    assert answer["Location"] == f"/v1/releases/{shelf.release.public_id}/checks"


def test_the_checks_cost_the_same_for_more_variants(shelf, queries_of):
    before = queries_of(lambda: checks(shelf))
    for n in range(10):
        shelf.add(f"More {n}", wheels=f"tint {n}")
    assert queries_of(lambda: checks(shelf)) == before <= 7
