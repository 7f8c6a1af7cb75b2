"""grant_role: the first moderator, and those after."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from registry.models import JournalEntry, PendingDeed, RoleGrant
from tests.factories import MemberFactory, ModeratorFactory

pytestmark = pytest.mark.django_db


def grant(*words: str) -> str:
    out = StringIO()
    call_command("grant_role", *words, stdout=out)
    return out.getvalue()


def test_the_first_moderator_needs_nobody():
    member = MemberFactory(display_name="Iben")
    assert grant(member.email.upper(), "moderator") == "Iben is now a moderator.\n"
    assert RoleGrant.objects.get().granted_by is None
    entry = JournalEntry.objects.get(verb="role.granted")
    assert entry.by is None
    assert entry.detail == {"member": member.public_id, "role": "moderator"}


def test_once_there_is_a_moderator_one_must_be_named():
    moderator, member = ModeratorFactory(), MemberFactory()
    with pytest.raises(CommandError, match="There is a moderator already. .*--by EMAIL"):
        grant(member.email, "reviewer")
    grant(member.email, "reviewer", "--by", moderator.email)
    assert RoleGrant.objects.get(member=member).granted_by == moderator


def test_T09_where_there_are_two_moderators_it_waits_for_the_other():
    moderator, _, member = ModeratorFactory(), ModeratorFactory(), MemberFactory()
    told = grant(member.email, "reviewer", "--by", moderator.email)
    assert "once another moderator confirms it" in told
    assert not RoleGrant.objects.filter(member=member).exists()
    assert PendingDeed.objects.get().asked_by == moderator


def test_only_a_moderator_may_be_named():
    ModeratorFactory()
    with pytest.raises(CommandError, match="Only a moderator"):
        grant(MemberFactory().email, "reviewer", "--by", MemberFactory().email)


@pytest.mark.parametrize(
    ("email", "role", "words"),
    [
        ("nobody@example.test", "reviewer", "Nobody has an account under 'nobody@example.test'"),
        ("iben@example.test", "king", "role: 'king' cannot be taken. Choose one of: reviewer, moderator"),
    ],
)
def test_a_wrong_word_is_named_with_the_remedy(email, role, words):
    MemberFactory(email="iben@example.test")
    with pytest.raises(CommandError, match=words):
        grant(email, role)
    assert not RoleGrant.objects.exists()


def test_a_role_already_held_is_refused():
    member = MemberFactory(display_name="Iben")
    grant(member.email, "reviewer")
    with pytest.raises(CommandError, match="Iben already is a reviewer"):
        grant(member.email, "reviewer")
