"""Why a claim stands as it does, for programs: blind until one has voted, then vote by vote."""

import pytest

from registry import actions
from tests.factories import MemberFactory, ReviewerFactory
from tests.path import Scene, claim_on, now

from .caller import Caller, problem

pytestmark = pytest.mark.django_db
OF_VOTES = {"probability", "likely", "votes", "votes_not_heard", "would_change"}


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    base = scene.report(scene.anchor, scene.red)
    scene.show(base)
    claim = claim_on(base, scene.crest)
    scene.vote(claim, voters=2)
    return claim


def why(claim, member=None, **query):
    answer = Caller(member).get(f"claims/{claim.public_id}/why", query)
    assert answer.status_code == 200, answer.content
    return answer


def test_before_one_has_voted_it_tells_of_evidence_and_of_what_is_missing_alone(scene, claim):
    for reader in (None, scene.author, scene.moderator):
        told = why(claim, reader).json()
        assert told["votes_shown"] is False
        assert OF_VOTES & told.keys() == set()
        assert (told["standing"], len(told["shown_by"])) == ("open", 1)
        assert told["missing"] == ["one more vote on roof crest"]


def test_who_has_voted_is_told_each_vote_and_its_weight_in_order(scene, claim):
    answer = why(claim, scene.reviewers[0])
    told = answer.json()
    assert answer["Cache-Control"] == "private, no-store"
    assert [vote["by"] for vote in told["votes"]] == [r.public_id for r in scene.reviewers[:2]]
    assert {(v["words"], v["weight"], v["on"]) for v in told["votes"]} == {
        ("counts fairly for it", 13863, claim.public_id)  # ln 4
    }
    assert (told["probability"], told["likely"]) == (9412, "about 94 in 100")  # 16 / 17
    first = told["would_change"][0]
    assert (first["to"], first["verdict"], first["votes"], first["way"]) == (
        "confirmed",
        "confirms",
        1,
        "photo",
    )


def test_what_it_says_would_confirm_it_does_confirm_it(scene, claim):
    told = why(claim, scene.reviewers[0]).json()["would_change"][0]
    for _ in range(told["votes"]):
        actions.cast_vote(claim=claim, by=ReviewerFactory(), at=now(), verdict="confirms", basis="photo")
    claim.refresh_from_db()
    assert claim.standing == told["to"]


def test_a_decided_claim_is_explained_to_everybody(scene, claim):
    scene.vote(claim, voters=4)
    actions.cast_vote(claim=claim, by=MemberFactory(), at=now(), verdict="contradicts", basis="photo")
    told = why(claim).json()
    assert (told["standing"], told["votes_shown"], len(told["votes"])) == ("confirmed", True, 4)
    assert "no reviewer" in told["votes_not_heard"][0]["reason"]


def test_a_dispute_hides_the_votes_again_and_is_told(scene, claim):
    scene.vote(claim, voters=4)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    told = why(claim).json()
    assert told["votes_shown"] is False
    assert told["disputes"] == [
        {"id": dispute.public_id, "outcome": "open", "contests": False, "reason": "A gull."}
    ]
    across = why(dispute.rival, scene.reviewers[0]).json()
    assert across["votes_shown"] is False  # a vote on the one side is none on the other


def test_some_members_can_be_asked_for_and_an_unknown_claim_is_not_found(claim):
    assert why(claim, fields="id,standing").json() == {"id": claim.public_id, "standing": "open"}
    problem(Caller().get(f"claims/{claim.variant.public_id}/why"), 404, "not-found")


def test_more_votes_and_photos_cost_no_more_queries(scene, claim, queries_of):
    caller = Caller(scene.reviewers[0])
    few = queries_of(lambda: caller.get(f"claims/{claim.public_id}/why"))
    scene.vote(claim, voters=6)
    scene.show(claim.variant)
    scene.change(claim.variant, scene.gull)
    assert queries_of(lambda: caller.get(f"claims/{claim.public_id}/why")) <= few
