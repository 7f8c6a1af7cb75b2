"""Votes and disputes over the API."""

import pytest

from registry.models import Vote
from tests.factories import MemberFactory, ModeratorFactory, ReviewerFactory, StatementFactory
from tests.path import Scene, claim_on

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db
YES = {"verdict": "confirms", "basis": "photo"}


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    return claim_on(scene.report(scene.anchor, scene.red), scene.crest)


def test_a_vote_is_cast_read_changed_and_taken_back(claim):
    reviewer = Caller(ReviewerFactory())
    address = f"/v1/claims/{claim.public_id}/vote"
    problem(reviewer.get(address), 404, "not-found")
    cast = reviewer.put(address, YES)
    assert (cast.status_code, cast.json()["verdict"], cast.json()["counts"]) == (200, "confirms", True)
    assert reviewer.get(address).json() == cast.json()
    reviewer.put(address, {"verdict": "cannot_tell", "basis": "photo", "note": "too dark"})
    tally = reviewer.get(f"/v1/claims/{claim.public_id}").json()["votes"]
    assert tally == {"confirms": 0, "contradicts": 0, "cannot_tell": 1}
    assert reviewer.delete(address).status_code == 204
    problem(reviewer.delete(address), 404, "not-found")
    assert Vote.objects.count() == 2


def test_the_same_vote_fifty_times_is_one_vote(claim):
    reviewer = Caller(ReviewerFactory())
    for _ in range(50):
        assert reviewer.put(f"/v1/claims/{claim.public_id}/vote", YES).status_code == 200
    assert Vote.objects.current().count() == 1


def test_nobody_votes_on_what_they_reported(scene, claim):
    problem(Caller(scene.author).put(f"/v1/claims/{claim.public_id}/vote", YES), 403, "own-submission")
    assert not Vote.objects.exists()


def test_a_members_vote_is_kept_but_does_not_count(claim):
    member = Caller(MemberFactory())
    cast = member.put(f"/v1/claims/{claim.public_id}/vote", YES)
    assert cast.json()["counts"] is False
    assert member.get(f"/v1/claims/{claim.public_id}").json()["votes"]["confirms"] == 0


@pytest.mark.parametrize(
    ("said", "pointer"),
    [
        ({"verdict": "perhaps"}, "/verdict"),
        ({"basis": "hearsay"}, "/basis"),
        ({"note": "x" * 301}, "/note"),
        ({"note": "dark\u0000"}, "/note"),
        ({"counts": True}, "/counts"),
        ({"by": "me"}, "/by"),
        ({"base_revision": "1"}, "/base_revision"),
        ({"base_revision": True}, "/base_revision"),
        ({"example": "000000000000"}, "/example"),
        ({"example": 7}, "/example"),
    ],
)
def test_T25_a_vote_says_what_a_vote_may_say(said, pointer, claim):
    answer = Caller(ReviewerFactory()).put(f"/v1/claims/{claim.public_id}/vote", {**YES, **said})
    assert pointer in [
        error["pointer"] for error in problem(answer, 422, answer.json()["type"].rpartition("/")[2])["errors"]
    ]
    assert not Vote.objects.exists()


def test_a_state_seen_must_be_another_of_the_same_trait(scene, claim):
    address, reviewer = f"/v1/claims/{claim.public_id}/vote", Caller(ReviewerFactory())
    no = {"verdict": "contradicts", "basis": "photo"}
    for state in (scene.anchor, scene.red):
        told = problem(reviewer.put(address, {**no, "state_seen": state.public_id}), 422, "validation-failed")
        assert told["errors"][0]["pointer"] == "/state_seen"
    cast = reviewer.put(address, {**no, "state_seen": scene.gull.public_id})
    assert cast.json()["state_seen"] == scene.gull.public_id


def test_a_closed_claim_takes_no_vote_and_a_newer_revision_is_no_bar(scene, claim):
    scene.report(scene.gull, base=claim.variant, cause="running_change")
    reviewer = Caller(ReviewerFactory())
    assert reviewer.put(f"/v1/claims/{claim.public_id}/vote", {**YES, "base_revision": 1}).status_code == 200
    type(claim).objects.filter(pk=claim.pk).update(closed_at=claim.opened_at)
    problem(reviewer.put(f"/v1/claims/{claim.public_id}/vote", YES), 409, "already-closed")


def test_own_votes_are_listed_and_nobody_elses(scene, claim, queries_of):
    mine, other = Caller(ReviewerFactory()), Caller(ReviewerFactory())
    mine.put(f"/v1/claims/{claim.public_id}/vote", YES)
    statement = StatementFactory(variant=claim.variant)
    assert mine.put(f"/v1/statements/{statement.public_id}/vote", YES).status_code == 200
    few = queries_of(lambda: mine.get("/v1/votes"))
    for trait in (scene.stripe,):
        mine.put(f"/v1/claims/{claim_on(claim.variant, trait).public_id}/vote", YES)
    rows = pages(mine, "/v1/votes", limit=1)
    assert [row["claim"] or row["statement"] for row in rows][:2] == [claim.public_id, statement.public_id]
    assert len(rows) == 3
    assert queries_of(lambda: mine.get("/v1/votes")) == few <= 6
    assert pages(other, "/v1/votes") == []
    problem(Caller().get("/v1/votes"), 401, "token-missing")


def test_a_dispute_opens_a_rival_and_is_taken_back(scene, claim):
    opener = Caller(ReviewerFactory())
    said = {"claim": claim.public_id, "state": scene.gull.public_id, "reason": "It is a gull."}
    made = opener.post("/v1/disputes", said)
    assert made.status_code == 201, made.content
    told = made.json()
    assert (told["outcome"], told["contests"], told["state"]) == ("open", False, scene.gull.public_id)
    rival = Caller().get(f"/v1/claims/{told['rival']}").json()
    assert (rival["is_rival"], rival["predecessor"]) == (True, claim.public_id)
    problem(opener.post("/v1/disputes", said), 409, "wrong-moment")
    problem(Caller(MemberFactory()).post(f"{made['Location']}/withdraw"), 403, "not-permitted")
    assert opener.post(f"{made['Location']}/withdraw").json()["outcome"] == "withdrawn"
    problem(opener.post(f"{made['Location']}/withdraw"), 409, "already-closed")
    assert [row["id"] for row in pages(Caller(), "/v1/disputes", outcome="withdrawn")] == [told["id"]]


def test_a_moderator_closes_a_dispute_with_a_reason(scene, claim):
    said = {"claim": claim.public_id, "state": scene.gull.public_id, "reason": "It is a gull."}
    made = Caller(ReviewerFactory()).post("/v1/disputes", said)
    moderator = Caller(ModeratorFactory())
    problem(
        Caller(ReviewerFactory()).post(f"{made['Location']}/close", {"reason": "no"}), 403, "role-required"
    )
    problem(moderator.post(f"{made['Location']}/close", {}), 422, "validation-failed")
    closed = moderator.post(f"{made['Location']}/close", {"reason": "The photo shows another casting."})
    assert closed.json()["outcome"] == "upheld"


@pytest.mark.parametrize("missing", ["state", "claim", "reason"])
def test_a_dispute_says_what_it_objects_to_and_why(missing, scene, claim):
    said = {"claim": claim.public_id, "state": scene.gull.public_id, "reason": "It is a gull."}
    del said[missing]
    told = problem(Caller(MemberFactory()).post("/v1/disputes", said), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == f"/{missing}"


def test_disputes_cost_the_same_however_many_they_are(queries_of):
    def another():
        scene = Scene()
        claim = claim_on(scene.report(scene.anchor), scene.crest)
        said = {"claim": claim.public_id, "state": scene.gull.public_id, "reason": "It is a gull."}
        Caller(ReviewerFactory()).post("/v1/disputes", said)

    another()
    another()
    few = queries_of(lambda: Caller().get("/v1/disputes"))
    for _ in range(8):
        another()
    assert queries_of(lambda: Caller().get("/v1/disputes")) == few <= 6
