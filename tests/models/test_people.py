"""Two members never bear names that read the same; nobody's roles outlive their grant."""

import pytest
from django.db import IntegrityError

from registry.models import Member, RoleGrant, Token, name_key
from tests.factories import NOON, MemberFactory, ModeratorFactory, ReviewerFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "twin", ["harbour rat", "HARBOUR RAT", "  Harbour   Rat ", "Ｈａｒｂｏｕｒ Rat", "Harbour\u00a0Rat"]
)
def test_T07_a_name_that_reads_the_same_is_taken(twin):
    MemberFactory(display_name="Harbour Rat")
    with pytest.raises(IntegrityError):
        MemberFactory(display_name=twin)


def test_T07_another_name_is_free():
    MemberFactory(display_name="Harbour Rat")
    MemberFactory(display_name="Harbour Cat")
    assert name_key("Harbour Rat") != name_key("Harbour Cat")


def test_a_name_of_letters_that_stand_for_many_is_kept_on_both_databases():
    member = MemberFactory(display_name="\ufdfa" * 40)
    member.refresh_from_db()
    assert len(member.name_key) == 120
    assert member.display_name == "\ufdfa" * 40


def test_an_address_is_kept_in_small_letters():
    member = Member.objects.create_user("Gull@Example.Test", "a long password", display_name="Gull")
    assert member.email == "gull@example.test"
    assert member.check_password("a long password")


def test_a_moderator_also_reviews_and_a_revoked_role_is_gone():
    moderator, reviewer = ModeratorFactory(), ReviewerFactory()
    RoleGrant.objects.filter(member=reviewer).update(revoked_at=NOON)
    reviewer = Member.objects.get(pk=reviewer.pk)
    assert (moderator.is_reviewer, moderator.is_moderator) == (True, True)
    assert (reviewer.is_reviewer, reviewer.is_moderator) == (False, False)


def test_a_token_of_a_suspended_member_is_not_usable():
    member = MemberFactory()
    token = Token.objects.create(
        member=member, name="list", digest="d", hint="clt_", scopes=["read"], created_at=NOON,
        expires_at=NOON.replace(year=2027),
    )  # fmt: skip
    assert list(Token.objects.usable(NOON)) == [token]
    Member.objects.filter(pk=member.pk).update(is_active=False)
    assert list(Token.objects.usable(NOON)) == []
