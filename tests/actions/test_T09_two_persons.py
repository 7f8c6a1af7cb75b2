"""T09: what takes two moderators: one asks, another confirms, both stand in the journal."""

from datetime import timedelta

import pytest

from registry import actions
from registry.actions import two_persons
from registry.errors import (
    AccountClosed,
    AlreadyClosed,
    InvalidField,
    RoleRequired,
    SecondPersonNeeded,
    UnknownReference,
)
from registry.methods.guards import DEED_WAITS
from registry.models import Member, PendingDeed
from tests.actions.watching import journal_lines, refused
from tests.factories import MemberFactory, ModeratorFactory, ReviewerFactory
from tests.path import now

pytestmark = pytest.mark.django_db


@pytest.fixture
def first():
    return ModeratorFactory()


@pytest.fixture
def second():
    return ModeratorFactory()


def ask(by, member, role="reviewer", reason="A steady eye."):
    said = {"member": member.public_id, "role": role}
    return two_persons.ask(kind="role.grant", detail=said, reason=reason, by=by, at=now())


def roles(member):
    return Member.objects.get(pk=member.pk).roles


def test_T09_one_moderator_asks_the_same_person_cannot_confirm_and_a_second_does_it(first, second):
    member = MemberFactory()
    with journal_lines() as lines:
        pending = ask(first, member, "moderator")
        assert pending.outcome == "waiting"
        assert not roles(member)
        with pytest.raises(SecondPersonNeeded):
            two_persons.confirm(pending=pending, by=first, at=now())
        done = two_persons.confirm(pending=pending, by=second, at=now())
    assert (done.outcome, done.decided_by) == ("done", second)
    assert roles(member) == {"moderator"}
    own = [(line.verb, line.by) for line in lines if line.by]
    assert own == [("deed.asked", first), ("deed.confirmed", second), ("role.granted", first)]
    assert lines[-1].detail["seconded_by"] == second.public_id


def test_T09_where_there_is_one_moderator_nobody_could_confirm_so_it_is_done_at_once(first):
    member = MemberFactory()
    assert ask(first, member) is None
    assert roles(member) == {"reviewer"}


def test_T09_no_way_around_it_through_the_action_itself(first, second):
    member, reviewer = MemberFactory(), ReviewerFactory()
    for seconded_by in (None, first):
        with refused(SecondPersonNeeded):
            actions.grant_role(member=member, role="reviewer", by=first, at=now(), seconded_by=seconded_by)
    with refused(RoleRequired):
        actions.grant_role(member=member, role="reviewer", by=first, at=now(), seconded_by=reviewer)
    actions.grant_role(member=member, role="reviewer", by=first, at=now(), seconded_by=second)
    assert roles(member) == {"reviewer"}


@pytest.mark.parametrize("who", [MemberFactory, ReviewerFactory])
def test_T09_others_neither_ask_nor_confirm_nor_decline(first, second, who):
    other, member = who(), MemberFactory()
    pending = ask(first, member)
    with refused(RoleRequired, says=["moderator"]):
        ask(other, member)
    for decide in (two_persons.confirm, two_persons.decline):
        with refused(RoleRequired, says=["moderator"]):
            decide(pending=pending, by=other, at=now())


def test_T09_it_is_decided_once(first, second):
    pending = ask(first, MemberFactory())
    two_persons.decline(pending=pending, by=first, at=now())
    for decide in (two_persons.confirm, two_persons.decline):
        with refused(AlreadyClosed, says=["declined"]):
            decide(pending=pending, by=second, at=now())


def test_T09_it_runs_out_after_two_weeks(first, second):
    pending = ask(first, MemberFactory())
    with refused(AlreadyClosed, says=["in time"]):
        two_persons.confirm(pending=pending, by=second, at=pending.asked_at + DEED_WAITS)
    assert PendingDeed.objects.waiting(pending.asked_at + DEED_WAITS - timedelta(seconds=1)).exists()
    assert not PendingDeed.objects.waiting(pending.asked_at + DEED_WAITS).exists()


def test_T09_who_asked_must_still_be_a_moderator_when_it_is_confirmed(first, second):
    pending = ask(first, MemberFactory())
    actions.revoke_role(member=first, role="moderator", by=second, at=now())
    with refused(RoleRequired):
        two_persons.confirm(pending=pending, by=second, at=now())
    other = ModeratorFactory()
    late = ask(other, MemberFactory())
    actions.suspend(member=other, by=second, at=now(), reason="Spam.")
    with refused(AccountClosed):
        two_persons.confirm(pending=late, by=second, at=now())


def test_T09_what_cannot_be_is_refused_when_it_is_asked_for(first, second):
    member = MemberFactory()
    with refused(InvalidField, field="role"):
        ask(first, member, "king")
    with refused(InvalidField, field="reason"):
        ask(first, member, reason="")
    at, said = now(), {"member": "nobody", "role": "reviewer"}
    with refused(UnknownReference, field="member"):
        two_persons.ask(kind="role.grant", detail=said, reason="Yes.", by=first, at=at)
    with refused(InvalidField, field="kind"):
        two_persons.ask(kind="crown", detail=said, reason="Yes.", by=first, at=at)
    with refused(InvalidField, field="detail"):
        two_persons.ask(kind="role.grant", detail={"member": "x"}, reason="Yes.", by=first, at=at)
