"""Who may act. Read afresh inside the caller's transaction, so that a suspension or a lost role counts at once.

The member's row is locked until the transaction ends: whoever suspends them, or takes a role from them, waits for what
they are doing or is seen by it. Members are locked first, in order of key, then all else, and the journal last.
"""

from __future__ import annotations

from datetime import datetime

from django.db import connection

from registry.errors import AccountClosed, RoleRequired, SecondPersonNeeded, SecondStepNeeded
from registry.methods import guards
from registry.models import Member, Role
from registry.queries.reviewers import moderators_since
from registry.sentences import Sentence


def active(by: Member) -> Member:
    """The member as the database knows them now. Raises AccountClosed."""
    rows = Member.objects.filter(pk=by.pk, is_active=True)
    if connection.in_atomic_block:
        rows = rows.select_for_update(no_key=True)
    member = rows.first()
    if member is None:
        raise AccountClosed
    return member


def require(by: Member, role: Role) -> Member:
    """An active member holding the role now. Raises AccountClosed, RoleRequired or SecondStepNeeded."""
    member = active(by)
    if role not in member.roles:
        if role in member.waiting_roles:
            raise SecondStepNeeded
        raise RoleRequired(
            Sentence("Only a %(role)s may do this. A moderator can grant the role.", role=role.label),
            role=role.value,
        )
    return member


def refuse_by_one_step(member: Member) -> None:
    """Who was given a role does nothing of it by a password alone. Raises SecondStepNeeded."""
    if member.waiting_roles:
        raise SecondStepNeeded


def require_second(by: Member, seconded_by: Member | None, at: datetime) -> None:
    """Another moderator agrees, unless there is none. Raises RoleRequired or SecondPersonNeeded."""
    if seconded_by is not None:
        require(seconded_by, Role.MODERATOR)
    if is_for_two(at) and (seconded_by is None or seconded_by.pk == by.pk):
        raise SecondPersonNeeded


def is_for_two(at: datetime) -> bool:
    """There are moderators enough for one to ask and another to confirm, or were of late. Queries: 1."""
    return guards.needs_second(moderators_since(at - guards.MODERATOR_REMEMBERED))


def lock_members(*members: Member | None) -> None:
    """For what one member does to another: both rows, so that two who do it to each other wait in turn."""
    keys = [member.pk for member in members if member is not None]
    list(Member.objects.filter(pk__in=keys).order_by("pk").select_for_update(no_key=True).values_list("pk"))
