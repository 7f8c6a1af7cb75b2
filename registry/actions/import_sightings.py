"""Take a member's own file of sightings: all of it, or nothing and every fault."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, cast

from registry.errors import InvalidField, RegistryError, SheetRefused, UnknownReference
from registry.methods.identifiers import parse_id
from registry.methods.sheets import Fault, Row, read_sheet
from registry.models import (
    Example,
    JournalEntry,
    Member,
    Pack,
    PackVersion,
    Release,
    Sighting,
    Trait,
    Variant,
)
from registry.models.base import Identified
from registry.sentences import Sentence

from .admission import active
from .journalled import journalled
from .quotas import refuse_more_than_left
from .seen import Place, Seen, checked
from .sight import keep, known_by_key

SINGLE: dict[str, tuple[type[Identified], tuple[str, ...]]] = {
    "release": (Release, ("merged_into", "casting", "line")),
    "pack": (Pack, ("merged_into",)),
    "pack_version": (PackVersion, ()),
    "example": (Example, ()),
}
"""Fields that name one record, with what is read beside it."""


@dataclass(frozen=True)
class Import:
    """What a file comes to: how many sightings are new, how many were known already, and what is wrong."""

    new: int
    known: int
    faults: list[Fault]


@journalled
def import_sightings(*, by: Member, at: datetime, data: bytes, dry_run: bool = False) -> Import:
    """Keep every sighting of a file, NDJSON or CSV as methods.sheets describes, or none where a line has a fault.

    A line whose key the member has used before, in the file or earlier, counts once. A dry run keeps nothing and
    answers with all faults. Errors: AccountClosed; SheetRefused with all faults; TooMany.
    """
    member = active(by)
    rows, faults = read_sheet(data)
    names = Names(rows)
    seen: list[tuple[int, Seen]] = []
    for row in rows:
        try:
            seen.append((row.line, understood(row, names, member, at)))
        except RegistryError as refusal:
            faults.append(fault_of(row, refusal))
    new, known, twins = once(member, seen)
    refuse_more_than_left(member, "sightings", at, len(new))
    faults = sorted([*faults, *twins], key=lambda fault: fault.line)
    if not dry_run and faults:
        told = [
            {"line": f.line, "field": f.field, "value": f.value, "detail": f.remedy} for f in faults[:100]
        ]
        raise SheetRefused(
            Sentence(
                "%(count)s of the lines cannot be taken, so none was kept. First: %(first)s",
                count=len(faults),
                first=str(faults[0]),
            ),
            faults=told,
        )
    if not dry_run and new:
        keep(new)
        detail = {"new": len(new), "known": known, "sha256": hashlib.sha256(data).hexdigest()}
        JournalEntry.objects.record(by=member, verb="sightings.imported", about=member, at=at, detail=detail)
    return Import(len(new), known, faults)


class Names:
    """The records that a file names, looked up all at once. Queries: 6, and 3 for each release."""

    def __init__(self, rows: Sequence[Row]) -> None:
        wanted: dict[str, set[str]] = defaultdict(set)
        for row in rows:
            for field, text in ids_in(row.said):
                try:
                    wanted[field].add(parse_id(text))
                except ValueError:
                    continue  # said of its line, where it is looked up
        models: dict[str, tuple[type[Identified], tuple[str, ...]]] = {
            **SINGLE,
            "variants": (Variant, ("release", "merged_into")),
            "traits_seen": (Trait, ("merged_into",)),
        }
        self._rows: dict[str, dict[str, Any]] = {}
        for field, (model, related) in models.items():
            found = model._default_manager.filter(public_id__in=wanted[field]).select_related(*related)
            self._rows[field] = {row.public_id: row for row in found}
        self._places: dict[int, Place] = {}

    def one(self, field: str, text: object, where: str = "") -> Any:
        """The record an id names. Errors: InvalidField, UnknownReference."""
        where = where or field
        if not isinstance(text, str):
            raise InvalidField(where, text, Sentence("Give an id, as text."))
        try:
            row = self._rows[field].get(parse_id(text))
        except ValueError as fault:
            raise InvalidField(where, text, fault.args[0]) from None
        if row is None:
            raise UnknownReference(
                where, text, Sentence("No such record is listed. Search for it on the site.")
            )
        return getattr(row, "survivor", row)

    def place(self, release: Release) -> Place:
        if release.pk not in self._places:
            self._places[release.pk] = Place.of(release)
        return self._places[release.pk]


def ids_in(said: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Each id that a line names, with its field."""
    for field in SINGLE:
        if isinstance(said.get(field), str):
            yield field, said[field]
    for trait in listed(said.get("traits_seen")):
        yield "traits_seen", trait
    lines = said.get("count_lines")
    for line in lines if isinstance(lines, list) else ():
        for variant in listed(line.get("variants") if isinstance(line, dict) else None):
            yield "variants", variant


def listed(value: object) -> list[str]:
    return [each for each in value if isinstance(each, str)] if isinstance(value, list) else []


def understood(row: Row, names: Names, by: Member, at: datetime) -> Seen:
    """The line as a sighting. Errors: RegistryError of its first fault."""
    said = {field: value for field, value in row.said.items() if value is not None}
    for field in ("release", "scope", "seen_on", "count_lines"):
        if field not in said:
            raise InvalidField(field, None, Sentence("This is missing."))
    for field in SINGLE:
        if field in said:
            said[field] = names.one(field, said[field])
    said["seen_on"] = day_of(said["seen_on"])
    traits = said.pop("traits_seen", [])
    if not isinstance(traits, list):
        raise InvalidField("traits_seen", traits, Sentence("Give a list of ids."))
    said["traits_seen"] = [names.one("traits_seen", trait) for trait in traits]
    if isinstance(said["count_lines"], list):
        said["count_lines"] = [counted(n, line, names) for n, line in enumerate(said["count_lines"])]
    return checked(names.place(said.pop("release")), by, at, **said)


def counted(n: int, line: object, names: Names) -> object:
    """A count line with its variants; one that is no object is refused where all of them are checked."""
    if not isinstance(line, dict):
        return line
    where = f"count_lines[{n}].variants"
    if unknown := sorted(set(map(str, line)) - {"kind", "variants", "condition", "n"}):
        raise InvalidField(
            f"count_lines[{n}]", unknown[0], Sentence("A line has kind, variants, condition and n.")
        )
    variants = line.get("variants") or []
    if not isinstance(variants, list):
        raise InvalidField(where, variants, Sentence("Give a list of ids."))
    return {**line, "variants": [names.one("variants", variant, where) for variant in variants]}


def day_of(value: object) -> date:
    try:
        return date.fromisoformat(cast(str, value))
    except (TypeError, ValueError):
        raise InvalidField("seen_on", value, Sentence("Give a date as YYYY-MM-DD.")) from None


def fault_of(row: Row, refusal: RegistryError) -> Fault:
    """The refusal as a fault of its line: field, value and remedy apart."""
    if isinstance(refusal, InvalidField):
        return Fault(row.line, refusal.field, str(refusal.value)[:80], refusal.remedy)
    return Fault(row.line, refusal.field, "", refusal.args[0])


def once(by: Member, seen: Sequence[tuple[int, Seen]]) -> tuple[list[Seen], int, list[Fault]]:
    """What is new, each key once; how many were known; and where an example is reported again. Queries: 2."""
    before = set(known_by_key(by, [each for _, each in seen]))
    examples = [each.sighting.example for _, each in seen if each.sighting.example]
    reported = Sighting.objects.filter(by=by, example__in=examples, withdrawn_at=None)
    told: dict[int, str] = dict(reported.values_list("example", "public_id"))
    new: list[Seen] = []
    known, faults = 0, []
    for line, each in seen:
        key, example = each.sighting.key, each.sighting.example
        if key and key in before:
            known += 1
            continue
        if example is not None and example.pk in told:
            remedy = Sentence(
                "You report this example in %(where)s already, and one item counts once.",
                where=told[example.pk],
            )
            faults.append(Fault(line, "example", example.public_id, remedy))
            continue
        if key:
            before.add(key)
        if example is not None:
            told[example.pk] = Sentence("line %(line)s", line=line)
        new.append(each)
    return new, known, faults
