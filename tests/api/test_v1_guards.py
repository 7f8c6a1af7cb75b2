"""What guards the votes, over the API: quotas, linked accounts, held disputes, tallies."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from registry import actions
from registry.models import AddressHint, Dispute
from tests.factories import HeldDisputeFactory, MemberFactory, ReviewerFactory, SubmissionFactory
from tests.path import Scene, claim_on, now

from .caller import Caller, problem

pytestmark = pytest.mark.django_db
YES = {"verdict": "confirms", "basis": "photo"}


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    return claim_on(scene.report(scene.anchor, scene.red), scene.crest)


def test_T08_the_fourth_report_of_a_new_account_is_429_with_retry_after(scene, settings):
    settings.CASTLORE_QUOTA_FACTOR = 1
    new = MemberFactory()
    for _ in range(3):
        SubmissionFactory(author=new, sent_at=timezone.now() - timedelta(hours=2))
    said = {"release": scene.release.public_id, "content": {
        "claims": [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]}}  # fmt: skip
    caller = Caller(new)
    draft = caller.post("/v1/submissions", said).json()
    answer = caller.post(f"/v1/submissions/{draft['id']}/send")
    told = problem(answer, 429, "quota-reached")
    assert 79_000 < int(answer["Retry-After"]) <= 79_201
    assert told["quota"] == 3
    assert caller.get(f"/v1/submissions/{draft['id']}").json()["status"] == "draft"


def test_T03_the_second_of_two_linked_accounts_is_403_conflict_declared(scene, claim):
    first, second = scene.reviewers[:2]
    actions.declare_link(first=first, second=second, by=scene.moderator, at=now())
    address = f"/v1/claims/{claim.public_id}/vote"
    assert Caller(first).put(address, YES).status_code == 200
    problem(Caller(second).put(address, YES), 403, "conflict-declared")


def test_T03_a_vote_leaves_a_digest_of_the_address_prefix(scene, claim):
    caller = Caller(scene.reviewers[0])
    caller.client.defaults["REMOTE_ADDR"] = "8.8.4.4"
    caller.put(f"/v1/claims/{claim.public_id}/vote", YES)
    assert AddressHint.objects.get().member == scene.reviewers[0]


def test_T05_a_held_dispute_is_202_and_no_dispute(scene, claim):
    grudge = MemberFactory()
    for _ in range(3):
        HeldDisputeFactory(claim=claim, opened_by=grudge, held_at=timezone.now())
    said = {"claim": claim.public_id, "state": scene.gull.public_id, "reason": "A gull."}
    answer = Caller(grudge).post("/v1/disputes", said)
    assert (answer.status_code, answer.json()["outcome"]) == (202, "held")
    assert not Dispute.objects.exists()
    assert Caller().get("/v1/disputes").json()["results"] == []
    problem(Caller(grudge).get(f"/v1/disputes/{answer.json()['id']}"), 404, "not-found")


def test_the_tally_of_an_undecided_claim_is_told_to_who_voted_and_kept_from_caches(scene, claim):
    scene.vote(claim, voters=1)
    address = f"/v1/claims/{claim.public_id}"
    voter, other, anybody = Caller(scene.reviewers[0]), Caller(ReviewerFactory()), Caller()
    assert "votes" in voter.get(address).json()
    for caller in (other, anybody):
        assert "votes" not in caller.get(address).json()
        assert "votes" not in caller.get("/v1/claims").json()["results"][0]
        assert caller.get(address, {"fields": "id,votes"}).json() == {"id": claim.public_id}
    mine, public = voter.get(address), anybody.get(address)
    assert mine["Cache-Control"] == "private, no-store"
    assert "Authorization" in mine["Vary"]
    assert "Authorization" in public["Vary"]
    assert mine["ETag"] != public["ETag"]


def test_the_tally_is_told_to_all_once_the_claim_is_decided(scene, claim):
    scene.show(claim.variant)
    scene.vote(claim)
    told = Caller().get(f"/v1/claims/{claim.public_id}").json()
    assert (told["standing"], told["votes"]["confirms"]) == ("confirmed", 3)


def test_a_tally_costs_no_query_more_for_more_claims(scene, claim):
    caller = Caller(scene.reviewers[0])
    caller.get("/v1/claims")  # notes that the token was used
    with CaptureQueriesContext(connection) as few:
        caller.get("/v1/claims")
    scene.report(scene.gull, scene.blue, base=claim.variant, cause="parallel")
    with CaptureQueriesContext(connection) as many:
        caller.get("/v1/claims")
    assert len(many) == len(few)
