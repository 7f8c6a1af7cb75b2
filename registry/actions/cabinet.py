"""A member's private record of what they own. Nobody else reads it, and no standing rests on it."""

from __future__ import annotations

from datetime import datetime

from registry.errors import Conflict, InvalidField, NotFound, WrongMoment
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
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled

MOST_ITEMS = 20_000
"""As many as one cabinet holds."""
WORDS = ("condition", "count", "to_swap", "wear", "note")
"""What is said of an item besides what it is."""


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
    wear: str = "",
    note: str = "",
) -> CabinetItem:
    """Record that one owns `count` of a release; without a variant: not checked yet which one it is.

    Errors: AccountClosed, InvalidField; WrongMoment where the cabinet is full.
    """
    member = active(by)
    refuse_overfull(member, 1)
    item = CabinetItem(
        member=member,
        release=release.survivor,
        variant=variant,
        pack_version=pack_version,
        example=example,
        added_at=at,
    )
    fill(item, at, condition=condition, count=count, to_swap=to_swap, wear=wear, note=note)
    item.save()
    JournalEntry.objects.record(by=by, verb="cabinet.put", about=item, at=at)
    return item


@journalled
def own_one(
    *, by: Member, at: datetime, release: Release, condition: str, variant: Variant | None = None
) -> CabinetItem:
    """In one tap: "I own one". Tapped again, it is the one that stands there, and nothing is counted twice."""
    member = active(by)
    release = release.survivor
    alike = CabinetItem.objects.filter(member=member, release=release, variant=variant)
    known = alike.filter(condition=wording.choice("condition", condition, Condition)).order_by("pk").first()
    return known or put_item(by=member, at=at, release=release, variant=variant, condition=condition)


@journalled
def change_item(
    *, item: CabinetItem, by: Member, at: datetime, expected_revision: int | None = None, **changes: object
) -> CabinetItem:
    """Errors: NotFound for another member's item, Conflict where `expected_revision` is not the current one."""
    kept = own_item(item, by)
    if expected_revision is not None and expected_revision != kept.revision:
        raise Conflict
    for name in {"variant", "pack_version"} & changes.keys():
        setattr(kept, name, changes.pop(name))
    said = {name: getattr(kept, name) for name in WORDS}
    if unknown := sorted(changes.keys() - said.keys()):
        raise InvalidField(unknown[0], changes[unknown[0]], Sentence("This field cannot be changed."))
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


def refuse_overfull(member: Member, more: int) -> None:
    """Errors: WrongMoment where so many more do not fit."""
    if CabinetItem.objects.filter(member=member).count() + more > MOST_ITEMS:
        raise WrongMoment(
            Sentence(
                "A cabinet holds %(most)s entries. Count those that are alike in one.",
                most=f"{MOST_ITEMS:,}",
            )
        )


def fill(item: CabinetItem, at: datetime, **said: object) -> None:
    """Errors: InvalidField."""
    item.condition = wording.choice("condition", said["condition"], Condition)
    item.count = wording.whole("count", said["count"], 1, 10_000)
    item.to_swap = wording.whole("to_swap", said["to_swap"], 0, item.count)
    item.wear = wording.line("wear", said["wear"], 120, required=False)
    item.note = wording.line("note", said["note"], 300, required=False)
    item.changed_at = at
    if item.variant and item.variant.release_id != item.release.survivor.pk:
        raise InvalidField(
            "variant",
            item.variant.public_id,
            Sentence("Choose a variant of %(release)s.", release=item.release),
        )
    if item.example and item.example.owner_id != item.member_id:
        raise InvalidField("example", item.example.public_id, Sentence("Choose an example of your own."))
