"""What becomes of a dispute that was held back: a moderator lets it go on, or declines it."""

from __future__ import annotations

from datetime import datetime

from registry.errors import AlreadyClosed
from registry.models import (
    Dispute,
    HeldDispute,
    HeldOutcome,
    JournalEntry,
    Member,
    Role,
)
from registry.models.base import in_english
from registry.sentences import Sentence

from . import wording
from .admission import require
from .dispute import enter, objection
from .journalled import journalled


@journalled
def release_held(*, held: HeldDispute, by: Member, at: datetime) -> Dispute:
    """Let it become a dispute like any other, in its opener's name. Errors: RoleRequired, AlreadyClosed."""
    moderator = require(by, Role.MODERATOR)
    said = still_held(held)
    dispute = enter(
        objection(said.opened_by, at, said.reason, said.claim, said.state, said.statement, said.base_revision)
    )
    decide(said, HeldOutcome.RELEASED, moderator, at, released_as=dispute)
    JournalEntry.objects.record(
        by=moderator, verb="dispute.released", about=held, at=at, detail={"dispute": dispute.public_id}
    )
    return dispute


@journalled
def decline_held(*, held: HeldDispute, reason: str, by: Member, at: datetime) -> HeldDispute:
    """It does not become a dispute; its opener reads why. Errors: RoleRequired, AlreadyClosed, InvalidField."""
    moderator = require(by, Role.MODERATOR)
    reason = wording.line("reason", reason, 300)
    said = still_held(held)
    decide(said, HeldOutcome.DECLINED, moderator, at, decline_reason=reason)
    JournalEntry.objects.record(
        by=moderator, verb="dispute.declined", about=held, at=at, detail={"reason": reason}
    )
    return said


def still_held(held: HeldDispute) -> HeldDispute:
    """The row, locked. Errors: AlreadyClosed when it has been decided."""
    rows = HeldDispute.objects.select_for_update(of=("self",)).select_related(
        "opened_by",
        "claim__variant__release",
        "claim__trait",
        "claim__state",
        "state__trait",
        "statement__release",
    )
    said = rows.get(pk=held.pk)
    if said.outcome != HeldOutcome.HELD:
        raise AlreadyClosed(
            Sentence(
                "This has been decided: %(outcome)s.", outcome=in_english(HeldOutcome(said.outcome).label)
            )
        )
    return said


def decide(said: HeldDispute, outcome: HeldOutcome, by: Member, at: datetime, **more: object) -> None:
    for name, value in {"outcome": outcome, "decided_by": by, "decided_at": at, **more}.items():
        setattr(said, name, value)
    said.save()
