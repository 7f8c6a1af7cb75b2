"""Taking one's data along, and having it erased, over the API."""

import pytest
from django.utils import timezone

from registry.models import ControlAnswer, KeptReply, Member, Token
from tests.factories import (
    CabinetItemFactory,
    ConcernFactory,
    HeldDisputeFactory,
    HuntFactory,
    InterestFactory,
    MemberFactory,
)

from .caller import Caller

pytestmark = pytest.mark.django_db
ERASE = "/v1/me/erase"


@pytest.fixture
def member():
    member = MemberFactory(email="gull@quay.example")
    member.set_password("seven herring crates")
    member.save()
    CabinetItemFactory(member=member, note="top shelf", wear="one corner bent")
    HuntFactory(member=member, depth="pack")
    return member


def test_all_that_is_kept_of_a_member_is_one_private_document(member):
    answer = Caller(member).get("/v1/me/export")
    said = answer.json()
    assert answer["Cache-Control"] == "private, no-store"
    assert said["account"]["email"] == "gull@quay.example"
    assert [(item["note"], item["wear"]) for item in said["cabinet"]] == [("top shelf", "one corner bent")]
    assert [(hunt["depth"], hunt["lines"]) for hunt in said["hunt"]] == [("pack", [])]
    assert "digest" not in said["tokens"][0]
    assert Caller(MemberFactory()).get("/v1/me/export").json()["hunt"] == []


def test_what_guards_the_votes_is_in_it_and_concerns_as_counts_alone(member):
    interest, other = InterestFactory(member=member), MemberFactory()
    held = HeldDisputeFactory(opened_by=member, reason="Plainly a gull.")
    concern = ConcernFactory()
    concern.members.set([member, other])
    ControlAnswer.objects.create(
        member=member, claim=held.claim, verdict="confirms", basis="photo", truth=False, at=timezone.now()
    )
    said = Caller(member).get("/v1/me/export").json()
    assert [row["id"] for row in said["interests"]] == [interest.public_id]
    assert [(row["id"], row["reason"]) for row in said["held_disputes"]] == [
        (held.public_id, "Plainly a gull.")
    ]
    assert [row.keys() for row in said["control_answers"]] == [{"verdict", "basis", "at", "claim"}]
    assert said["watches"] == []
    assert said["concerns"] == [{"kind": concern.kind, "outcome": "open", "count": 1}]
    assert other.public_id not in str(said["concerns"])


def test_T50_the_password_erases_the_account_and_ends_the_token(member):
    caller = Caller(member)
    answer = caller.post(ERASE, {"password": "seven herring crates"})
    assert answer.status_code == 200
    assert answer.json()["id"] == member.public_id
    assert Member.objects.get(pk=member.pk).erased_at
    assert not Token.objects.filter(member=member).exists()
    assert not KeptReply.objects.filter(member=member).exists()
    assert caller.get("/v1/me").status_code == 401


def test_a_wrong_password_erases_nothing_and_leaves_no_trace_of_itself(member):
    answer = Caller(member).post(ERASE, {"password": "eight herring crates"})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/password"
    assert Member.objects.get(pk=member.pk).erased_at is None
    assert not KeptReply.objects.exists()


def test_passwords_are_not_guessed_at_leisure(member):
    caller = Caller(member)
    statuses = [caller.post(ERASE, {"password": f"guess {n}"}).status_code for n in range(12)]
    assert statuses == [422] * 10 + [429] * 2
    assert caller.post(ERASE, {"password": "seven herring crates"}).status_code == 429


def test_a_kept_credit_is_asked_for_by_its_word(member):
    assert (
        Caller(member).post(ERASE, {"password": "seven herring crates", "credit": "all"}).status_code == 422
    )
    Caller(member).post(ERASE, {"password": "seven herring crates", "credit": "keep"})
    assert Member.objects.get(pk=member.pk).keeps_credit
