"""What takes two moderators: one asks, another confirms, and both stand in the journal.

A kind of deed is one entry of DEEDS. Where there is only one moderator, founding the site, nobody could confirm: there
the one who asks does it alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.errors import AlreadyClosed, InvalidField, SecondPersonNeeded, UnknownReference
from registry.methods import guards
from registry.models import DeedOutcome, JournalEntry, Member, PendingDeed, Role
from registry.queries.reviewers import active_moderators

from . import people, wording
from .admission import require
from .journalled import journalled

Detail = Mapping[str, Any]


@dataclass(frozen=True)
class Deed:
    """How a deed is told and done. `do` is called as do(detail, by=asker, at=now, seconded_by=other moderator)."""

    keys: frozenset[str]
    words: Callable[[Detail], str]
    do: Callable[..., Any]


def member_of(detail: Detail) -> Member:
    """Errors: UnknownReference."""
    member = Member.objects.filter(public_id=str(detail["member"])).first()
    if member is None:
        raise UnknownReference("member", detail["member"], "Name a member.")
    return member


def grant_role(detail: Detail, **who: Any) -> Any:
    return people.grant_role(member=member_of(detail), role=str(detail["role"]), **who)


def granting(detail: Detail) -> str:
    return f"Make {member_of(detail)} a {wording.choice('role', detail['role'], Role).label}"


DEEDS: dict[str, Deed] = {
    "role.grant": Deed(frozenset({"member", "role"}), granting, grant_role),
}


def needs_second(kind: str) -> bool:
    """The deed waits for another moderator now. Queries: 1. Errors: InvalidField for an unknown kind."""
    if kind not in DEEDS:
        raise InvalidField("kind", kind, f"Use one of: {', '.join(DEEDS)}.")
    return guards.needs_second(active_moderators().count())


@journalled
def ask(*, kind: str, detail: Detail, reason: str, by: Member, at: datetime) -> PendingDeed | None:
    """Ask for a deed that takes two. None where it was done at once, by the only moderator there is.

    Errors: RoleRequired, InvalidField, and whatever refuses the deed itself when it is done at once.
    """
    moderator = require(by, Role.MODERATOR)
    is_for_two = needs_second(kind)
    deed = DEEDS[kind]
    if set(detail) != deed.keys:
        raise InvalidField("detail", dict(detail), f"Say exactly: {', '.join(sorted(deed.keys))}.")
    reason = wording.line("reason", reason, 300)
    words = deed.words(detail)  # refuses what names nothing
    if not is_for_two:
        deed.do(detail, by=moderator, at=at, seconded_by=None)
        return None
    pending = PendingDeed.objects.create(
        kind=kind,
        detail=dict(detail),
        words=words,
        reason=reason,
        asked_by=moderator,
        asked_at=at,
        expires_at=at + guards.DEED_WAITS,
    )
    JournalEntry.objects.record(
        by=moderator, verb="deed.asked", about=pending, at=at, detail={"kind": kind, **detail}
    )
    return pending


@journalled
def confirm(*, pending: PendingDeed, by: Member, at: datetime) -> PendingDeed:
    """Confirm what another moderator asked for; it is done at once, in the name of who asked.

    Errors: RoleRequired, also where who asked is no moderator any more; SecondPersonNeeded for the one who asked;
    AlreadyClosed when it was decided or has run out; whatever refuses the deed itself.
    """
    moderator = require(by, Role.MODERATOR)
    waiting = still_waiting(pending, at)
    if waiting.asked_by_id == moderator.pk:
        raise SecondPersonNeeded
    asker = require(waiting.asked_by, Role.MODERATOR)
    decide(waiting, DeedOutcome.DONE, moderator, at)
    JournalEntry.objects.record(
        by=moderator, verb="deed.confirmed", about=waiting, at=at, detail={"kind": waiting.kind}
    )
    DEEDS[waiting.kind].do(waiting.detail, by=asker, at=at, seconded_by=moderator)
    return waiting


@journalled
def decline(*, pending: PendingDeed, by: Member, at: datetime) -> PendingDeed:
    """It is not done. Any moderator may say so, who asked for it too. Errors: RoleRequired, AlreadyClosed."""
    moderator = require(by, Role.MODERATOR)
    waiting = still_waiting(pending, at)
    decide(waiting, DeedOutcome.DECLINED, moderator, at)
    JournalEntry.objects.record(
        by=moderator, verb="deed.declined", about=waiting, at=at, detail={"kind": waiting.kind}
    )
    return waiting


def still_waiting(pending: PendingDeed, at: datetime) -> PendingDeed:
    """The row, locked. Errors: AlreadyClosed."""
    rows = PendingDeed.objects.select_for_update(of=("self",)).select_related("asked_by")
    waiting = rows.get(pk=pending.pk)
    if waiting.outcome != DeedOutcome.WAITING:
        raise AlreadyClosed(f"This has been decided: {waiting.get_outcome_display()}.")
    if waiting.expires_at <= at:
        raise AlreadyClosed("Nobody confirmed this in time. Ask for it again.")
    return waiting


def decide(waiting: PendingDeed, outcome: DeedOutcome, by: Member, at: datetime) -> None:
    waiting.outcome, waiting.decided_by, waiting.decided_at = outcome, by, at
    waiting.save(update_fields=["outcome", "decided_by", "decided_at"])
