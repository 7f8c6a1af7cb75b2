"""Hold a dispute back where one person keeps disputing another's records."""

from __future__ import annotations

from datetime import datetime

from registry.methods import guards
from registry.models import Claim, Dispute, HeldDispute, JournalEntry, Member, State, Statement


def is_to_be_held(member: Member, subject: Claim | Statement, at: datetime) -> bool:
    """The member has disputed the same author's records as often as one may within the window."""
    if subject.author_id is None or subject.author_id == member.pk:
        return False
    since = at - guards.GRUDGE_WINDOW
    opened = 0
    for of in ("claim__author", "statement__author"):
        theirs = {of: subject.author_id, "opened_by": member}
        opened += Dispute.objects.filter(**theirs, opened_at__gt=since).count()
        opened += HeldDispute.objects.held().filter(**theirs, held_at__gt=since).count()
    return guards.is_grudge(opened)


def hold(dispute: Dispute, state: State | None, at: datetime) -> HeldDispute:
    """Keep what was said, unseen by others, until a moderator has looked. In the caller's transaction."""
    held = HeldDispute.objects.create(
        claim=dispute.claim,
        state=state.survivor if state else None,
        statement=dispute.statement,
        opened_by=dispute.opened_by,
        reason=dispute.reason,
        base_revision=dispute.base_revision,
        held_at=at,
    )
    JournalEntry.objects.record(by=dispute.opened_by, verb="dispute.held", about=held, at=at)
    return held
