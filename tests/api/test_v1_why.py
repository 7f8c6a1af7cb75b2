"""Why a claim stands as it does, for programs: blind until one has voted, then vote by vote."""

from datetime import timedelta

import pytest

from registry import actions
from registry.models import Member, SurgeLock
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
        assert told["missing"] == ["more votes on roof crest"]


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


def test_a_sellers_vote_and_one_from_a_rush_say_why_they_do_not_count(scene, claim):
    seller, young, newcomer = scene.reviewers[2], scene.reviewers[3], MemberFactory()
    actions.declare_interest(thing=scene.release.line, by=seller, at=now())
    Member.objects.filter(pk=young.pk).update(joined_at=now())
    SurgeLock.objects.create(claim=claim, began_at=young.joined_at, locked_until=now() + timedelta(days=2))
    for voter in (seller, young, newcomer):
        actions.cast_vote(claim=claim, by=voter, verdict="confirms", basis="photo", at=now())
    told = why(claim, scene.reviewers[0]).json()
    assert {vote["by"]: vote["reason"].partition(":")[0] for vote in told["votes_not_heard"]} == {
        seller.public_id: "Sells what this is about, and has said so",
        young.public_id: "Came in a rush of votes, from an account younger than the rush",
        newcomer.public_id: "Was no reviewer when voting, so it is noted but does not count.",
    }
    told = why(claim, None).json()
    assert "votes_not_heard" not in told
    actions.end_interest(interest=seller.interests.get(), by=seller, at=now())
    told = why(claim, scene.reviewers[0]).json()
    reasons = {vote["by"]: vote["reason"] for vote in told["votes_not_heard"]}
    assert reasons[seller.public_id].startswith("Sells")


def test_a_vote_that_came_with_a_merged_claim_is_told_where_it_counts(scene, claim):
    base, voter = claim.variant, scene.reviewers[4]
    merged, kept = scene.report(scene.gull, base=base), scene.report(scene.gull, scene.blue, base=base)
    here = claim_on(merged, scene.crest)
    actions.cast_vote(claim=here, by=voter, verdict="confirms", basis="photo", at=now())
    actions.merge_variants(variant=merged, into=kept, by=scene.moderator, reason="One.", at=now())
    told = why(claim_on(kept, scene.crest), voter).json()
    assert voter.public_id in [vote["by"] for vote in told["votes"]]
