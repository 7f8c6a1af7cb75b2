"""Take a member's own file of what they own: all of it, or nothing and every fault."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.errors import InvalidField, RegistryError, SheetRefused, UnknownReference
from registry.methods.cabinet_sheet import Entry, read_cabinet
from registry.methods.identifiers import parse_id
from registry.methods.sheets import Fault
from registry.models import CabinetItem, JournalEntry, Member, PackVersion, Release, Variant
from registry.models.base import Identified
from registry.sentences import Sentence

from .admission import active
from .cabinet import WORDS, fill, refuse_overfull
from .journalled import journalled

NAMED: dict[str, tuple[type[Identified], tuple[str, ...]]] = {
    "release": (Release, ("merged_into",)),
    "variant": (Variant, ("merged_into",)),
    "pack_version": (PackVersion, ()),
}
"""Columns that name a record, with what is read beside it."""
KEPT = ("variant", "pack_version", *WORDS)


@dataclass(frozen=True)
class CabinetImport:
    """What a file comes to: entries that are new, that read otherwise now, that stand there already; and faults."""

    new: int
    changed: int
    known: int
    faults: list[Fault]


@journalled
def import_cabinet(*, by: Member, at: datetime, data: bytes, dry_run: bool = False) -> CabinetImport:
    """Put in every row of a file as methods.cabinet_sheet describes it, or none where a row has a fault.

    A row with the id of an entry changes it. Any other is new, unless an entry that is equal in everything stands there
    already: so the same file brought twice counts once. Nothing is ever taken out. A dry run keeps nothing and
    answers with all faults. Errors: AccountClosed; SheetRefused with all faults; WrongMoment where it is too much.
    """
    member = active(by)
    entries, faults = read_cabinet(data)
    owned = own_items(member)
    names = Names(entries)
    read: list[tuple[CabinetItem | None, CabinetItem]] = []
    taken: set[str] = set()
    for entry in entries:
        try:
            known = entry_named(entry, owned, taken)
            read.append((known, understood(entry, names, member, known, at)))
        except RegistryError as refusal:
            faults.append(fault_of(entry, refusal))
    new, changed = sorted_out(read, owned, taken)
    refuse_overfull(member, len(new))
    faults.sort(key=lambda fault: fault.line)
    if not dry_run:
        refuse_faults(faults)
        keep(member, new, changed, at)
    return CabinetImport(len(new), len(changed), len(read) - len(new) - len(changed), faults)


def refuse_faults(faults: Sequence[Fault]) -> None:
    """Errors: SheetRefused with the first hundred."""
    if faults:
        told = [
            {"line": f.line, "field": f.field, "value": f.value, "detail": f.remedy} for f in faults[:100]
        ]
        raise SheetRefused(
            Sentence(
                "%(count)s of the rows cannot be taken, so none was kept. First: %(first)s",
                count=len(faults),
                first=str(faults[0]),
            ),
            faults=told,
        )


def keep(member: Member, new: Sequence[CabinetItem], changed: Sequence[CabinetItem], at: datetime) -> None:
    if not new and not changed:
        return
    CabinetItem.objects.bulk_create(new)
    CabinetItem.objects.bulk_update(changed, [*KEPT, "revision", "changed_at"], batch_size=500)
    detail = {"new": len(new), "changed": len(changed)}
    JournalEntry.objects.record(by=member, verb="cabinet.imported", about=member, at=at, detail=detail)


def own_items(member: Member) -> dict[str, CabinetItem]:
    """All entries of the member, locked. Queries: 1."""
    items = CabinetItem.objects.select_for_update(of=("self",)).filter(member=member)
    related = ("release__merged_into", "variant__merged_into", "pack_version", "example")
    return {item.public_id: item for item in items.select_related(*related)}


class Names:
    """The records that a file names, looked up all at once. Queries: 3."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        self._rows: dict[str, dict[str, Any]] = {}
        for column, (model, related) in NAMED.items():
            wanted = set(ids_in(column, entries))
            found = model._default_manager.filter(public_id__in=wanted).select_related(*related)
            self._rows[column] = {row.public_id: row for row in found}

    def one(self, column: str, entry: Entry) -> Any:
        """The record that a cell names; None where the cell is empty. Errors: InvalidField, UnknownReference."""
        if column not in entry.ids:
            return None
        row = self._rows[column].get(parsed(column, entry.ids[column]))
        if row is None:
            remedy = Sentence("No such record is listed. Search for it on the site, and copy its id.")
            raise UnknownReference(column, entry.ids[column], remedy)
        return getattr(row, "survivor", row)


def ids_in(column: str, entries: Sequence[Entry]) -> Iterator[str]:
    for entry in entries:
        if column in entry.ids:
            try:
                yield parse_id(entry.ids[column])
            except ValueError:
                continue  # said of its row, where it is looked up


def parsed(column: str, text: str) -> str:
    try:
        return parse_id(text)
    except ValueError as fault:
        raise InvalidField(column, text, fault.args[0]) from None


def entry_named(entry: Entry, owned: dict[str, CabinetItem], taken: set[str]) -> CabinetItem | None:
    """The entry that a row is about; None for a new one, such as one that was taken out since, or another account's.

    Errors: InvalidField where two rows are about one entry.
    """
    if "id" not in entry.ids:
        return None
    public_id = parsed("id", entry.ids["id"])
    if public_id in taken:
        raise InvalidField(
            "id", entry.ids["id"], Sentence("Another row is about this entry. Leave out one of them.")
        )
    taken.add(public_id)
    return owned.get(public_id)


def understood(
    entry: Entry, names: Names, member: Member, known: CabinetItem | None, at: datetime
) -> CabinetItem:
    """The entry as its row wants it; kept nowhere. Errors: RegistryError of its first fault."""
    release = names.one("release", entry)
    if known and known.release.survivor != release:
        remedy = Sentence(
            "This entry is of %(release)s. Put another release in by a row without an id.",
            release=known.release.survivor,
        )
        raise InvalidField("release", entry.ids["release"], remedy)
    wanted = CabinetItem(
        member=member,
        release=release,
        variant=names.one("variant", entry),
        pack_version=names.one("pack_version", entry),
        added_at=at,
    )
    fill(wanted, at, **entry.words)
    return wanted


def fault_of(entry: Entry, refusal: RegistryError) -> Fault:
    if isinstance(refusal, InvalidField):
        return Fault(entry.line, refusal.field, str(refusal.value)[:80], refusal.remedy)
    return Fault(entry.line, refusal.field, "", refusal.args[0])


def sorted_out(
    read: Sequence[tuple[CabinetItem | None, CabinetItem]], owned: dict[str, CabinetItem], taken: set[str]
) -> tuple[list[CabinetItem], list[CabinetItem]]:
    """What is new and what is changed; the rest stands there already."""
    alike = Counter(likeness(item) for public_id, item in owned.items() if public_id not in taken)
    new, changed = [], []
    for known, wanted in read:
        if known is None and alike[likeness(wanted)]:
            alike[likeness(wanted)] -= 1
        elif known is None:
            new.append(wanted)
        elif likeness(known) != likeness(wanted):
            for name in (*KEPT, "changed_at"):
                setattr(known, name, getattr(wanted, name))
            known.revision += 1
            changed.append(known)
    return new, changed


def likeness(item: CabinetItem) -> tuple[object, ...]:
    """All that a row of a file says; equal where two entries say the same."""
    variant = item.variant.survivor.pk if item.variant else None
    return (item.release.survivor.pk, variant, item.pack_version_id, *(getattr(item, word) for word in WORDS))
