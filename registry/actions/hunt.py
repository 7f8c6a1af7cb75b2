"""How deep a member collects: what the list of missing things counts. Nobody else reads it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TypeVar

from registry.errors import Conflict, InvalidField
from registry.models import Depth, Hunt, JournalEntry, Line, Member, Trait
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled

MOST_CHOSEN = 300
M = TypeVar("M", Line, Trait)


@journalled
def set_hunt(*, by: Member, at: datetime, expected_revision: int | None = None, **changes: object) -> Hunt:
    """Choose `depth`, `with_errors`, `with_samples`, `lines` and `traits`; what is not named stays.

    Errors: Conflict where `expected_revision` is not the current one (0 before anything was chosen); InvalidField,
    also where the depth is that of chosen details and none is chosen.
    """
    member = active(by)
    hunt = Hunt.objects.select_for_update().filter(member=member).first() or Hunt(member=member)
    if expected_revision is not None and expected_revision != hunt.revision:
        raise Conflict
    lines = distinct("lines", changes.pop("lines", None), Line)
    traits = distinct("traits", changes.pop("traits", None), Trait)
    hunt.depth = wording.choice("depth", changes.pop("depth", hunt.depth), Depth)
    hunt.with_errors = wording.truth("with_errors", changes.pop("with_errors", hunt.with_errors))
    hunt.with_samples = wording.truth("with_samples", changes.pop("with_samples", hunt.with_samples))
    if changes:
        name = sorted(changes)[0]
        raise InvalidField(name, changes[name], Sentence("This field cannot be changed."))
    if hunt.depth == Depth.TRAITS and not (hunt.traits.exists() if traits is None and hunt.pk else traits):
        raise InvalidField("traits", [], Sentence("Choose the details that count, or another depth."))
    hunt.revision, hunt.changed_at = hunt.revision + 1, at
    hunt.save()
    if lines is not None:
        hunt.lines.set(lines)
    if traits is not None:
        hunt.traits.set(traits)
    JournalEntry.objects.record(by=member, verb="hunt.set", about=member, at=at)
    return hunt


def distinct(field: str, rows: object, kind: type[M]) -> list[M] | None:
    """The rows without repeats, merged ones as their survivors; None where nothing is said of them."""
    if rows is None:
        return None
    if not isinstance(rows, Sequence):
        raise InvalidField(field, rows, Sentence("Send a list."))
    found: list[M] = []
    for row in rows:
        if not isinstance(row, kind):
            raise InvalidField(field, row, Sentence("Send rows of one kind."))
        if isinstance(row, Trait) and row.is_cause:
            raise InvalidField(field, row.name, Sentence("Say by errors and samples which causes count."))
        found.append(getattr(row, "survivor", row))
    if len(found) > MOST_CHOSEN:
        raise InvalidField(field, len(found), Sentence("Choose at most %(most)s.", most=MOST_CHOSEN))
    return list(dict.fromkeys(found))
