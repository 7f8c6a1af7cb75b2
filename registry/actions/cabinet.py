"""A member's private record of what they own. Nobody else reads it, and no standing rests on it."""

from __future__ import annotations

from datetime import datetime

from registry.errors import Conflict, InvalidField, NotFound
from registry.models import (
    CabinetItem,
    Condition,
    Example,
    JournalEntry,
    Member,
    PackVersion,
    Release,
    Variant,
)

from . import wording
from .admission import active
from .journalled import journalled


@journalled
def put_item(
    *,
    by: Member,
    at: datetime,
    release: Release,
    condition: str,
    variant: Variant | None = None,
    pack_version: PackVersion | None = None,
    example: Example | None = None,
    count: int = 1,
    to_swap: int = 0,
    note: str = "",
) -> CabinetItem:
    """Record that one owns `count` of a release; without a variant: not checked yet which one it is."""
    item = CabinetItem(
        member=active(by),
        release=release,
        variant=variant,
        pack_version=pack_version,
        example=example,
        added_at=at,
    )
    fill(item, at, condition=condition, count=count, to_swap=to_swap, note=note)
    item.save()
    JournalEntry.objects.record(by=by, verb="cabinet.put", about=item, at=at)
    return item


@journalled
def change_item(
    *, item: CabinetItem, by: Member, at: datetime, expected_revision: int | None = None, **changes: object
) -> CabinetItem:
    """Errors: NotFound for another member's item, Conflict where `expected_revision` is not the current one."""
    kept = own_item(item, by)
    if expected_revision is not None and expected_revision != kept.revision:
        raise Conflict
    if "variant" in changes:
        kept.variant = changes.pop("variant")  # type: ignore[assignment]
    said = {name: getattr(kept, name) for name in ("condition", "count", "to_swap", "note")}
    if unknown := sorted(changes.keys() - said.keys()):
        raise InvalidField(unknown[0], changes[unknown[0]], "This field cannot be changed.")
    fill(kept, at, **{**said, **changes})
    kept.revision += 1
    kept.save()
    JournalEntry.objects.record(by=by, verb="cabinet.changed", about=kept, at=at)
    return kept


@journalled
def take_item_out(
    *, item: CabinetItem, by: Member, at: datetime, expected_revision: int | None = None
) -> None:
    kept = own_item(item, by)
    if expected_revision is not None and expected_revision != kept.revision:
        raise Conflict
    JournalEntry.objects.record(by=by, verb="cabinet.taken_out", about=kept, at=at)
    kept.delete()


def own_item(item: CabinetItem, by: Member) -> CabinetItem:
    active(by)
    kept = CabinetItem.objects.select_for_update().filter(pk=item.pk, member=by).first()
    if kept is None:
        raise NotFound
    return kept


def fill(item: CabinetItem, at: datetime, **said: object) -> None:
    item.condition = wording.choice("condition", said["condition"], Condition)
    item.count = wording.whole("count", said["count"], 1, 10_000)
    item.to_swap = wording.whole("to_swap", said["to_swap"], 0, item.count)
    item.note = wording.line("note", said["note"], 300, required=False)
    item.changed_at = at
    if item.variant and item.variant.release_id != item.release_id:
        raise InvalidField("variant", item.variant.public_id, f"Choose a variant of {item.release}.")
    if item.example and item.example.owner_id != item.member_id:
        raise InvalidField("example", item.example.public_id, "Choose an example of your own.")
