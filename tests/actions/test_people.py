"""Roles, links, suspensions and tokens; and what they do to the standings they bear on."""

from datetime import timedelta

import pytest

from registry import actions
from registry.errors import AccountClosed, InvalidField, NotFound, RoleRequired, WrongMoment
from registry.models import JournalEntry, Member, MemberLink, Release, Token, Variant
from tests.factories import MemberFactory, ModeratorFactory, ReviewerFactory
from tests.path import Scene, now

from .watching import everything, refused

pytestmark = pytest.mark.django_db


def is_founding(scene):
    return Release.objects.get(pk=scene.release.pk).is_founding


def standing(variant):
    return Variant.objects.get(pk=variant.pk).standing


def test_the_first_moderator_is_named_on_the_command_line():
    member = MemberFactory()
    actions.grant_role(member=member, role="moderator", by=None, at=now())
    assert Member.objects.get(pk=member.pk).is_moderator
    assert JournalEntry.objects.get(verb="role.granted").by is None


def test_a_role_is_held_once():
    moderator, member = ModeratorFactory(), ReviewerFactory()
    with refused(WrongMoment, field="role", says=[member.display_name, "reviewer"]):
        actions.grant_role(member=member, role="reviewer", by=moderator, at=now())


def test_a_role_is_granted_again_after_it_was_revoked():
    moderator, member = ModeratorFactory(), ReviewerFactory()
    actions.revoke_role(member=member, role="reviewer", by=moderator, at=now(), reason="Away.")
    actions.grant_role(member=member, role="reviewer", by=moderator, at=now())
    assert member.is_reviewer


def test_T24_nobody_grants_themselves_a_role():
    member = ReviewerFactory()
    with refused(RoleRequired):
        actions.grant_role(member=member, role="moderator", by=member, at=now())


@pytest.mark.parametrize("role", ["admin", "", None, 7])
def test_a_role_that_is_none_is_refused(role):
    moderator, member = ModeratorFactory(), MemberFactory()
    with refused(InvalidField, field="role", says=["reviewer, moderator"]):
        actions.grant_role(member=member, role=role, by=moderator, at=now())


def test_a_suspended_member_is_given_no_role():
    moderator, member = ModeratorFactory(), MemberFactory(is_active=False)
    with refused(AccountClosed):
        actions.grant_role(member=member, role="reviewer", by=moderator, at=now())


def test_a_role_that_is_not_held_is_not_revoked():
    moderator, member = ModeratorFactory(), MemberFactory()
    with refused(NotFound, field="role", says=[member.display_name]):
        actions.revoke_role(member=member, role="reviewer", by=moderator, at=now(), reason="Away.")


def test_founding_mode_ends_with_the_fifth_eligible_reviewer_and_begins_again_without():
    scene = Scene()
    scene.report(scene.anchor)
    assert not is_founding(scene)  # six reviewers and the moderator
    for reviewer in scene.reviewers[:2]:
        actions.revoke_role(member=reviewer, role="reviewer", by=scene.moderator, at=now(), reason="Away.")
    assert not is_founding(scene)
    actions.revoke_role(
        member=scene.reviewers[2], role="reviewer", by=scene.moderator, at=now(), reason="Away."
    )
    assert is_founding(scene)
    actions.grant_role(member=scene.reviewers[2], role="reviewer", by=scene.moderator, at=now())
    assert not is_founding(scene)


def test_founding_mode_begins_however_many_reviewers_there_were_once():
    scene = Scene()
    more = [ReviewerFactory() for _ in range(5)]
    scene.report(scene.anchor)
    assert Release.objects.get(pk=scene.release.pk).eligible_reviewers == 12
    for reviewer in [*more, *scene.reviewers[:3]]:
        actions.revoke_role(member=reviewer, role="reviewer", by=scene.moderator, at=now(), reason="Away.")
    assert is_founding(scene)


def test_a_suspended_reviewer_is_not_eligible_until_reinstated():
    scene = Scene()
    scene.report(scene.anchor)
    for reviewer in scene.reviewers[:3]:
        actions.suspend(member=reviewer, by=scene.moderator, at=now(), reason="Spam.")
    assert is_founding(scene)
    actions.reinstate(member=scene.reviewers[0], by=scene.moderator, at=now(), reason="It was a mistake.")
    assert not is_founding(scene)


def test_a_suspension_leaves_votes_as_they_are():
    scene = Scene()
    variant = scene.baseline()
    actions.suspend(member=scene.reviewers[0], by=scene.moderator, at=now(), reason="Spam.")
    assert standing(variant) == "verified"


@pytest.mark.parametrize(("action", "is_active"), [("suspend", False), ("reinstate", True)])
def test_a_member_who_is_so_already_is_named(action, is_active):
    moderator, member = ModeratorFactory(), MemberFactory(is_active=is_active)
    with refused(WrongMoment, field="member", says=[member.display_name]):
        getattr(actions, action)(member=member, by=moderator, at=now(), reason="Spam.")


def test_a_suspension_needs_a_reason():
    moderator, member = ModeratorFactory(), MemberFactory()
    with refused(InvalidField, field="reason"):
        actions.suspend(member=member, by=moderator, at=now(), reason="")


# Links ------------------------------------------------------------------------------------------------------------


def test_linked_reviewers_count_once():
    scene = Scene()
    variant = scene.baseline()
    actions.declare_link(first=scene.reviewers[0], second=scene.reviewers[1], by=scene.moderator, at=now())
    assert standing(variant) == "provisional"


def test_owners_who_are_linked_give_one_proof():
    scene = Scene()
    variant = scene.baseline()
    first, second = (example.owner for example in scene.release.examples.order_by("pk"))
    actions.declare_link(first=first, second=second, by=scene.moderator, at=now())
    assert standing(variant) == "provisional"


def test_links_reach_through_others_who_own_and_vote_on_nothing():
    scene = Scene()
    variant = scene.baseline()
    first, second = (example.owner for example in scene.release.examples.order_by("pk"))
    chain = [first, MemberFactory(), MemberFactory(), second]
    ends, middle = [(0, 1), (2, 3)], (1, 2)
    for one, other in ends:
        actions.declare_link(first=chain[one], second=chain[other], by=scene.moderator, at=now())
    assert standing(variant) == "verified"
    actions.declare_link(first=chain[middle[0]], second=chain[middle[1]], by=scene.moderator, at=now())
    assert standing(variant) == "provisional"


def test_a_link_declared_again_changes_nothing():
    first, second, moderator = MemberFactory(), MemberFactory(), ModeratorFactory()
    link = actions.declare_link(first=second, second=first, by=moderator, at=now())
    before = everything()
    assert actions.declare_link(first=first, second=second, by=moderator, at=now()) == link
    assert everything() == before
    assert MemberLink.objects.get().first_id < MemberLink.objects.get().second_id


def test_nobody_but_a_moderator_keeps_a_link_so_that_none_can_void_anothers_evidence():
    first, second = MemberFactory(), MemberFactory()
    with refused(RoleRequired):
        actions.declare_link(first=first, second=second, by=first, at=now())


def test_nobody_is_linked_to_themselves():
    member, moderator = MemberFactory(), ModeratorFactory()
    with refused(InvalidField, field="second", says=[member.display_name]):
        actions.declare_link(first=member, second=member, by=moderator, at=now())


# Tokens -----------------------------------------------------------------------------------------------------------


def test_T22_only_the_digest_of_a_token_is_kept():
    token, secret = actions.create_token(
        by=MemberFactory(), name="list", scopes=["review", "read"], at=now(), days=30
    )
    assert secret.startswith("clt_")
    assert token.digest == actions.token_digest(secret)
    assert token.scopes == ["read", "review"]
    assert token.expires_at - token.created_at == timedelta(days=30)
    assert secret not in str(everything())


@pytest.mark.parametrize(
    ("said", "field"),
    [({"scopes": []}, "scopes"), ({"scopes": ["everything"]}, "scopes"), ({"scopes": "read"}, "scopes"),
     ({"days": 0}, "days"), ({"days": 366}, "days"), ({"days": 1.5}, "days"), ({"name": ""}, "name")],
)  # fmt: skip
def test_a_token_of_another_shape_is_refused(said, field):
    by = MemberFactory()
    with refused(InvalidField, field=field):
        actions.create_token(**{"by": by, "name": "list", "scopes": ["read"], "at": now(), **said})


def test_a_revoked_token_is_usable_no_more():
    member = MemberFactory()
    token, _ = actions.create_token(by=member, name="list", scopes=["read"], at=now())
    actions.revoke_token(token=token, by=member, at=now())
    assert list(Token.objects.usable(now())) == []
