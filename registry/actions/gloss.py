"""Write down what a gloss meter showed on an example; it stands beside the evidence and moves no standing."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from registry.errors import AlreadyClosed, InvalidField, NotPermitted
from registry.methods.gloss_meter import ANGLES
from registry.models import Claim, Example, GlossReading, JournalEntry, Member, Trait
from registry.models.gloss import MOST_TENTHS
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled
from .measuring import refuse_claim, refuse_trait
from .quotas import admit

LONGEST_INSTRUMENT = 100


@journalled
def add_gloss_reading(
    *,
    example: Example,
    geometry: int,
    tenths: int,
    by: Member,
    at: datetime,
    claim: Claim | None = None,
    trait: Trait | None = None,
    instrument: str = "",
) -> GlossReading:
    """Any member may. Given a claim, the trait is its. `geometry` in degrees, `tenths` of a gloss unit.

    Errors: InvalidField for another angle, a value that no meter shows, neither claim nor trait, one that is no finish
    or is of another release; AlreadyClosed; IdentityMoved; TooMany.
    """
    admit(by, "measurements", at)
    if claim is not None:
        refuse_claim(claim, example)
        trait = claim.trait.survivor
    elif trait is None:
        raise InvalidField("claim", None, Sentence("Say which detail was read."))
    else:
        refuse_trait(trait, example)
        trait = trait.survivor
    refuse_other_kind(trait, "trait" if claim is None else "claim")
    kept = GlossReading.objects.create(
        example=example,
        claim=claim,
        trait=trait,
        geometry=angle(geometry),
        tenths=wording.whole("tenths", tenths, 0, MOST_TENTHS),
        instrument=wording.line("instrument", instrument, LONGEST_INSTRUMENT, required=False),
        by=by,
        at=at,
    )
    detail = {**named(kept), "geometry": kept.geometry, "tenths": kept.tenths}
    JournalEntry.objects.record(by=by, verb="glossreading.added", about=kept, at=at, detail=detail)
    return kept


@journalled
def remove_gloss_reading(*, reading: GlossReading, by: Member, at: datetime, reason: str) -> GlossReading:
    """Take back a reading that is wrong: who wrote it down or a moderator. The row stays, marked as removed."""
    member = active(by)
    if reading.by_id != by.pk and not member.is_moderator:
        raise NotPermitted(
            Sentence("Only who read the meter, or a moderator, can take it back. Add yours beside it.")
        )
    row = GlossReading.objects.select_for_update(of=("self",), no_key=True).get(pk=reading.pk)
    if row.removed_at:
        raise AlreadyClosed(Sentence("This reading has already been taken back."))
    row.removed_at = at
    row.save(update_fields=["removed_at"])
    detail = {**named(row), "reason": wording.line("reason", reason, 300)}
    JournalEntry.objects.record(by=by, verb="glossreading.removed", about=row, at=at, detail=detail)
    return row


def named(row: GlossReading) -> dict[str, Any]:
    """What it is about, by public ids."""
    return {
        "example": row.example.public_id,
        "claim": row.claim.public_id if row.claim else None,
        "trait": row.trait.public_id,
    }


def angle(geometry: int) -> int:
    if isinstance(geometry, bool) or geometry not in ANGLES:
        raise InvalidField(
            "geometry", geometry, Sentence("Choose the angle of the meter: 20, 60 or 85 degrees.")
        )
    return int(geometry)


def refuse_other_kind(trait: Trait, field: str) -> None:
    if not trait.is_finish:
        raise InvalidField(
            field,
            trait.name,
            Sentence("A gloss meter reads a finish. Choose a detail of kind finish, such as clear coat."),
        )
