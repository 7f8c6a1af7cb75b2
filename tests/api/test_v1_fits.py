"""Fits over the API: counts and everybody's rates, agreement with each trait, and nothing about one reviewer."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import FitRate
from tests.factories import TraitFactory
from tests.path import Scene, claim_on, now

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    scene = Scene()
    gull = scene.change(scene.baseline(), scene.gull)
    actions.cast_vote(
        claim=claim_on(gull, scene.crest), by=scene.reviewers[4], at=now(), verdict="contradicts", basis="photo",
        state_seen=scene.anchor,
    )  # fmt: skip
    return scene


def adopt():
    fit = actions.make_fit(at=now())
    actions.adopt_fit(fit=fit, at=now(), reason="The votes of this month.")
    return fit


def test_the_list_says_which_fit_is_in_force(scene):
    first, second = adopt(), actions.make_fit(at=now())
    told = Caller().get("/v1/fits").json()["results"]
    assert [(one["number"], one["in_force"], one["sha256"]) for one in told] == [
        (1, True, first.digest),
        (2, False, second.digest),
    ]
    assert (told[0]["votes"], told[0]["reviewers"], told[0]["claims"]) == (13, 4, 4)


def test_a_fit_tells_everybodys_rates_and_no_one_reviewers(scene):
    adopt()
    answer = Caller().get("/v1/fits/1").json()
    everybody = FitRate.objects.get(member=None, kind="print", in_hand=True)
    assert len(answer["population"]) == 24
    assert {
        "kind": "print",
        "in_hand": True,
        "sensitivity_per_10000": round(everybody.sensitivity / 100),
        "specificity_per_10000": round(everybody.specificity / 100),
    } in answer["population"]
    assert [one["reason"] for one in answer["adopted"]] == ["The votes of this month."]
    text = str(answer)
    assert not any(reviewer.public_id in text for reviewer in scene.reviewers)


@pytest.mark.parametrize("number", ["0", "2", "x", "-1", "9" * 30])
def test_a_number_that_no_fit_has_is_not_found(scene, number):
    adopt()
    problem(Caller().get(f"/v1/fits/{number}"), 404, "not-found")


def test_a_trait_tells_how_far_reviewers_agree_on_it(scene):
    path = f"/v1/traits/{scene.crest.public_id}"
    assert Caller().get(path).json()["agreement"] is None
    adopt()
    agreed = Caller().get(path).json()["agreement"]
    assert (agreed["fit"], agreed["units"], agreed["votes"], agreed["hard_to_judge"]) == (1, 2, 7, False)
    # Krippendorff 2011, by hand: 3 anchors, and 3 gulls with 1 anchor: o = 2, e = 2 * 4 * 3 / 6 = 4, so 1 - 2/4.
    assert agreed["alpha_per_10000"] == 5000
    assert agreed["low_per_10000"] <= 5000 <= agreed["high_per_10000"]
    assert [set(pair["states"]) for pair in agreed["confused"]] == [
        {scene.anchor.public_id, scene.gull.public_id}
    ]


def test_traits_cost_the_same_however_many_have_agreement(scene):
    adopt()
    costs = []
    for more in (0, 10):
        for _ in range(more):
            TraitFactory(line=scene.release.line, adopted_by=scene.release)
        with CaptureQueriesContext(connection) as asked:
            assert Caller().get("/v1/traits").status_code == 200
        costs.append(len(asked))
    assert costs[0] == costs[1]
