"""Taking one's data along, and having it erased, over the API."""

import pytest

from registry.models import KeptReply, Member, Token
from tests.factories import CabinetItemFactory, MemberFactory

from .caller import Caller

pytestmark = pytest.mark.django_db
ERASE = "/v1/me/erase"


@pytest.fixture
def member():
    member = MemberFactory(email="gull@quay.example")
    member.set_password("seven herring crates")
    member.save()
    CabinetItemFactory(member=member, note="top shelf")
    return member


def test_all_that_is_kept_of_a_member_is_one_private_document(member):
    answer = Caller(member).get("/v1/me/export")
    said = answer.json()
    assert answer["Cache-Control"] == "private, no-store"
    assert said["account"]["email"] == "gull@quay.example"
    assert [item["note"] for item in said["cabinet"]] == ["top shelf"]
    assert "digest" not in said["tokens"][0]
    assert Caller(MemberFactory()).get("/v1/me/export").json()["cabinet"] == []


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
