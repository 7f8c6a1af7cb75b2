"""How every event begins and ends: who may, which rows are held, and what is kept of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.errors import IdentityMoved, InvalidField
from registry.models import (
    Claim,
    Dispute,
    JournalEntry,
    Member,
    ModeratorEvent,
    ModeratorEventKind,
    Outcome,
    Release,
    Role,
    Variant,
    VariantStanding,
)
from registry.models.base import in_english
from registry.sentences import Sentence

from .. import wording
from ..admission import lock_members, require
from ..correct import end
from ..index import index
from ..settle import locked, settle_release


@dataclass(frozen=True)
class Deed:
    """Who acts, when, why, and who stands by it."""

    by: Member
    at: datetime
    reason: str
    seconded_by: Member | None = None

    def told(self, **more: Any) -> dict[str, Any]:
        """The journal's detail."""
        second = {"seconded_by": self.seconded_by.public_id} if self.seconded_by else {}
        return {"reason": self.reason, **second, **more}


def deed(by: Member, at: datetime, reason: str, seconded_by: Member | None) -> Deed:
    """Errors: RoleRequired and AccountClosed for either of the two, InvalidField where they are one."""
    lock_members(by, seconded_by)  # together, as another event may name the same two the other way round
    member = require(by, Role.MODERATOR)
    if seconded_by is not None:
        seconded_by = require(seconded_by, Role.MODERATOR)
        if seconded_by == member:
            raise InvalidField("seconded_by", str(member), Sentence("Another moderator must stand by it."))
    return Deed(member, at, wording.line("reason", reason, 300), seconded_by)


def held(*variants: Variant) -> tuple[Release, list[Variant]]:
    """The variants as they are now, with the release of the first, all locked.

    The release is locked first, as every action does, so that two events inside it follow one another; then the
    rows, in order of their keys.
    """
    keys = [variant.pk for variant in variants]
    release = locked(Variant.objects.select_related("release").get(pk=keys[0]).release)
    rows = Variant.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=keys)
    found = {row.pk: row for row in rows.select_related("release", "merged_into").order_by("pk")}
    return release, [found[key] for key in keys]


def refuse_unless_live(variant: Variant, field: str = "variant") -> None:
    if variant.is_gone:
        into = {"moved_to": variant.merged_into.public_id} if variant.merged_into else {}
        raise IdentityMoved(
            Sentence(
                "%(variant)s was %(standing)s. Restore it first, or use another.",
                variant=variant,
                standing=in_english(VariantStanding(variant.standing).label),
            ),
            field=field,
            **into,
        )


def end_disputes(variant: Variant, doing: Deed, why: str) -> None:
    """Disputes that nobody can vote on any more are taken back, and their rivals close."""
    for dispute in Dispute.objects.open().filter(claim__variant=variant).order_by("pk"):
        take_back(dispute, doing, why)


def take_back(dispute: Dispute, doing: Deed, why: str) -> None:
    Claim.objects.filter(rival_in=dispute, closed_at=None).update(closed_at=doing.at)
    end(dispute, Outcome.WITHDRAWN, doing.at, by=doing.by, reason=why)


def keep_event(variant: Variant, kind: ModeratorEventKind, doing: Deed, **more: Any) -> ModeratorEvent:
    event = ModeratorEvent(
        variant=variant,
        kind=kind,
        by=doing.by,
        at=doing.at,
        reason=doing.reason,
        seconded_by=doing.seconded_by,
        **more,
    )
    event.save()
    return event


def keep_line(variant: Variant, kind: str, doing: Deed, **more: Any) -> None:
    """The journal line of an event, from which standings can be replayed."""
    JournalEntry.objects.record(
        by=doing.by,
        verb=f"variant.{kind}",
        about=variant,
        at=doing.at,
        detail=doing.told(variant=variant.public_id, **more),
    )


def conclude(release: Release, doing: Deed, *touched: Variant) -> None:
    """Settle, then renew the variants in hand and what they are found by."""
    settle_release(release=release, at=doing.at)
    for variant in touched:
        variant.refresh_from_db()
        index(variant)
