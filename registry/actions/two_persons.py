"""What takes two moderators: one asks, another confirms, and both stand in the journal.

A kind of deed is one entry of DEEDS. Where there is only one moderator, founding the site, nobody could confirm: there
the one who asks does it alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.errors import AlreadyClosed, InvalidField, SecondPersonNeeded, UnknownReference, WrongMoment
from registry.methods import guards, reasons
from registry.models import DeedOutcome, JournalEntry, Member, PendingDeed, Role, StrikeReason, Variant
from registry.models.base import in_english
from registry.sentences import Sentence

from . import people, wording
from .admission import is_for_two, lock_members, require
from .events import merge_variants, strike_variant
from .events.desk import refuse_unless_live
from .events.merge import planned
from .journalled import journalled

Detail = Mapping[str, Any]


@dataclass(frozen=True)
class Deed:
    """How a deed is told and done.

    `words` refuses what cannot be done as things are; `takes_two` says whether this one needs a second moderator;
    `do` is called as do(detail, reason=why, by=asker, at=now, seconded_by=other moderator).
    """

    keys: frozenset[str]
    words: Callable[[Detail], Sentence]
    do: Callable[..., Any]
    takes_two: Callable[[Detail], bool] = lambda detail: True


def member_of(detail: Detail) -> Member:
    """Errors: UnknownReference."""
    member = Member.objects.filter(public_id=str(detail["member"])).first()
    if member is None:
        raise UnknownReference("member", detail["member"], Sentence("Name a member."))
    return member


def grant_role(detail: Detail, *, reason: str, **who: Any) -> Any:
    """The reason stays with the deed."""
    return people.grant_role(member=member_of(detail), role=str(detail["role"]), **who)


def granting(detail: Detail) -> Sentence:
    """Errors: UnknownReference, InvalidField."""
    member = member_of(detail)
    if wording.choice("role", detail["role"], Role) is Role.REVIEWER:
        return reasons.MAKE_REVIEWER.filled(member=member)
    return reasons.MAKE_MODERATOR.filled(member=member)


def variant_of(detail: Detail, field: str = "variant") -> Variant:
    """Errors: UnknownReference."""
    variant = Variant.objects.filter(public_id=str(detail[field])).first()
    if variant is None:
        raise UnknownReference(field, detail[field], Sentence("Name a variant."))
    return variant


def called(variant: Variant) -> str:
    return f"“{variant.title}” ({variant.shown_id})"


def strike(detail: Detail, **why: Any) -> Any:
    return strike_variant(variant=variant_of(detail), reason_code=str(detail["reason_code"]), **why)


def striking(detail: Detail) -> Sentence:
    code = wording.choice("reason_code", detail["reason_code"], StrikeReason)
    variant = variant_of(detail)
    refuse_unless_live(variant)
    return reasons.STRIKE.filled(variant=called(variant), reason=in_english(code.label))


def merge(detail: Detail, **why: Any) -> Any:
    return merge_variants(variant=variant_of(detail), into=variant_of(detail, "into"), **why)


def merging(detail: Detail) -> Sentence:
    _, gone, kept, _ = planned(variant_of(detail), variant_of(detail, "into"))
    return reasons.MERGE.filled(gone=called(gone), kept=called(kept))


def is_either_listed(detail: Detail) -> bool:
    return variant_of(detail).is_listed or variant_of(detail, "into").survivor.is_listed


DEEDS: dict[str, Deed] = {
    "role.grant": Deed(frozenset({"member", "role"}), granting, grant_role),
    "variant.strike": Deed(frozenset({"variant", "reason_code"}), striking, strike),
    "variant.merge": Deed(frozenset({"variant", "into"}), merging, merge, is_either_listed),
}


@journalled
def ask(*, kind: str, detail: Detail, reason: str, by: Member, at: datetime) -> PendingDeed | None:
    """Ask for a deed that takes two. None where it was done at once, by the only moderator there is.

    Errors: RoleRequired, InvalidField, WrongMoment where the same waits already, and whatever refuses the deed itself.
    """
    moderator = require(by, Role.MODERATOR)
    if kind not in DEEDS:
        raise InvalidField("kind", kind, Sentence("Use one of: %(ones)s.", ones=", ".join(DEEDS)))
    deed = DEEDS[kind]
    if set(detail) != deed.keys:
        raise InvalidField(
            "detail", dict(detail), Sentence("Say exactly: %(ones)s.", ones=", ".join(sorted(deed.keys)))
        )
    reason = wording.line("reason", reason, 300)
    words = deed.words(detail)  # refuses what names nothing
    if not (deed.takes_two(detail) and is_for_two(at)):
        deed.do(detail, reason=reason, by=moderator, at=at, seconded_by=None)
        return None
    refuse_twice(kind, detail, at)
    pending = PendingDeed.objects.create(
        kind=kind,
        detail=dict(detail),
        words=str(words),  # kept in English, whoever asks
        reason=reason,
        asked_by=moderator,
        asked_at=at,
        expires_at=at + guards.DEED_WAITS,
    )
    JournalEntry.objects.record(
        by=moderator,
        verb="deed.asked",
        about=pending,
        at=at,
        detail={"kind": kind, "reason": reason, **detail},
    )
    return pending


def refuse_twice(kind: str, detail: Detail, at: datetime) -> None:
    """Errors: WrongMoment where the same waits for a second moderator already."""
    for waiting in PendingDeed.objects.waiting(at).filter(kind=kind).order_by("pk"):
        if waiting.detail == dict(detail):
            raise WrongMoment(
                Sentence("This waits for a second moderator already: confirm or decline that."),
                deed=waiting.public_id,
            )


@journalled
def confirm(*, pending: PendingDeed, by: Member, at: datetime) -> PendingDeed:
    """Confirm what another moderator asked for; it is done at once, in the name of who asked.

    Errors: RoleRequired, also where who asked is no moderator any more; SecondPersonNeeded for the one who asked;
    AlreadyClosed when it was decided or has run out; whatever refuses the deed itself.
    """
    concerned = Member.objects.filter(public_id=str(pending.detail.get("member", ""))).first()
    lock_members(by, pending.asked_by, concerned)
    moderator = require(by, Role.MODERATOR)
    waiting = still_waiting(pending, at)
    if waiting.asked_by_id == moderator.pk:
        raise SecondPersonNeeded
    asker = require(waiting.asked_by, Role.MODERATOR)
    decide(waiting, DeedOutcome.DONE, moderator, at)
    JournalEntry.objects.record(
        by=moderator, verb="deed.confirmed", about=waiting, at=at, detail={"kind": waiting.kind}
    )
    DEEDS[waiting.kind].do(waiting.detail, reason=waiting.reason, by=asker, at=at, seconded_by=moderator)
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
        raise AlreadyClosed(
            Sentence(
                "This has been decided: %(outcome)s.", outcome=in_english(DeedOutcome(waiting.outcome).label)
            )
        )
    if waiting.expires_at <= at:
        raise AlreadyClosed(Sentence("Nobody confirmed this in time. Ask for it again."))
    return waiting


def decide(waiting: PendingDeed, outcome: DeedOutcome, by: Member, at: datetime) -> None:
    waiting.outcome, waiting.decided_by, waiting.decided_at = outcome, by, at
    waiting.save(update_fields=["outcome", "decided_by", "decided_at"])
