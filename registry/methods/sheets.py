"""Sightings from a file: each line of NDJSON or each row of a CSV table, as one plain object or one fault.

NDJSON has one object on each line, with the keys of `COLUMNS` and `count_lines` as the API takes them. A CSV table
has a head row with columns of these names, separated by commas or semicolons, and instead of `count_lines` and
`traits_seen` as lists:

    counts        4k7d-9xwp-m2cx = 3; 4k7d-9xwp-m2cx or 9m3c-7xw2-k4dp = 1; none known = 2; could not tell = 1
    traits_seen   ids with spaces between them

Yes and no are `yes`, `no`, `true` and `false`; an empty cell says nothing. Nothing here knows what an id names.
"""

import csv
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from registry.sentences import Sentence

MOST_BYTES = 1_000_000
MOST_LINES = 5_000
TOO_MANY_LINES = Sentence("At most 5,000 lines can be taken at once.")
TOO_MANY_ROWS = Sentence(
    "At most 5,000 rows can be taken at once. Bring the rest as another file with the same first row."
)
"""`MOST_LINES` in words: written out, for each language has its own way with long numbers."""
COLUMNS = (
    "key", "release", "scope", "seen_on", "is_full_count", "total", "cases_compared", "no_difference", "picked_over",
    "is_offer", "pack", "pack_version", "example", "country", "region", "source", "note", "traits_seen",
)  # fmt: skip
_NUMBERS = ("total", "cases_compared")
_TRUTHS = {"yes": True, "true": True, "no": False, "false": False}
_TRUE_OR_FALSE = ("is_full_count", "no_difference", "is_offer")
_KINDS = {"none known": "none_known", "could not tell": "could_not_tell"}


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong on one line of the file, counted from 1, and what would be right."""

    line: int
    field: str
    value: str
    remedy: str

    def __str__(self) -> str:
        told = f"{self.field} {self.value!r}: " if self.field else ""
        return f"Line {self.line}: {told}{self.remedy}"


@dataclass(frozen=True, slots=True)
class Row:
    """One sighting as its line says it."""

    line: int
    said: dict[str, Any]


class Unreadable(ValueError):
    """A line that cannot be read. `field` and `value` as in `Fault`."""

    def __init__(self, field: str, value: object, remedy: str) -> None:
        super().__init__(remedy)
        self.field, self.value, self.remedy = field, str(value)[:80], remedy


def read_sheet(data: bytes) -> tuple[list[Row], list[Fault]]:
    """Every line that can be read, and what is wrong with the others. Empty lines are passed over.

    Errors: none; a file that is too large, no UTF-8, or without a line, is one fault on line 1.
    """
    text = text_of(data)
    if isinstance(text, Fault):
        return [], [text]
    lines = _objects(text) if text.lstrip()[:1] == "{" else _table(text)
    rows: list[Row] = []
    faults: list[Fault] = []
    for found in lines:
        if isinstance(found, Fault):
            faults.append(found)
        else:
            rows.append(found)
        if len(rows) + len(faults) > MOST_LINES:
            return [], [Fault(found.line, "", "", TOO_MANY_LINES)]
    if not rows and not faults:
        return [], [Fault(1, "", "", Sentence("The file holds no sighting."))]
    return rows, faults


def text_of(data: bytes) -> str | Fault:
    """The bytes of a file as text, or why they are none."""
    if len(data) > MOST_BYTES:
        large = Sentence(
            "The file has %(bytes)s bytes; %(most)s can be taken.",
            bytes=f"{len(data):,}",
            most=f"{MOST_BYTES:,}",
        )
        return Fault(1, "", "", large)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        return Fault(line, "", "", Sentence("This is no UTF-8. Save the file as UTF-8 text."))


def _objects(text: str) -> Iterator[Row | Fault]:
    # Not splitlines: a line of NDJSON ends with a line feed, and nothing else in a text ends one.
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            said = json.loads(line, object_pairs_hook=_without_repeats, parse_constant=_no_number)
        except (ValueError, RecursionError) as fault:
            why = next((arg for arg in fault.args if isinstance(arg, Sentence)), str(fault)[:120])
            yield Fault(number, "", line[:80], Sentence("This is no plain JSON: %(why)s.", why=why))
            continue
        if not isinstance(said, dict):
            yield Fault(number, "", line[:80], Sentence("Write one object on each line."))
        elif unknown := [key for key in said if key not in (*COLUMNS, "count_lines")]:
            yield Fault(number, unknown[0][:40], "", Sentence("There is no such key here."))
        else:
            yield Row(number, said)


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError(Sentence("a key is repeated in one object"))
    return found


def _no_number(word: str) -> Any:
    raise ValueError(Sentence("%(word)s is no number", word=word))


def _table(text: str) -> Iterator[Row | Fault]:
    for found in table(
        text, (*COLUMNS, "counts", "condition"), needed=("release", "scope", "seen_on", "counts")
    ):
        yield found if isinstance(found, Fault) else _row(*found)


def table(
    text: str, known: Sequence[str], needed: Sequence[str] = ()
) -> Iterator[tuple[int, dict[str, str]] | Fault]:
    """Each row of a CSV table with its line, empty cells left out, or what is wrong with it. Stops at a bad head.

    Commas or semicolons separate, whichever the head has more of. Source: RFC 4180.
    """
    head = text.split("\n", 1)[0]
    separator = ";" if head.count(";") > head.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    names: list[str] = []
    started = 1
    try:
        for cells in reader:
            line, started = started, reader.line_num + 1
            if not any(cell.strip() for cell in cells):
                continue
            if not names:
                names = [cell.strip().lower() for cell in cells]
                if fault := _fault_of_head(names, line, known, needed):
                    yield fault
                    return
            elif len(cells) != len(names):
                uneven = Sentence(
                    "The row has %(cells)s cells, the head has %(names)s.", cells=len(cells), names=len(names)
                )
                yield Fault(line, "", "", uneven)
            else:
                yield (
                    line,
                    {name: cell.strip() for name, cell in zip(names, cells, strict=True) if cell.strip()},
                )
    except csv.Error as fault:
        yield Fault(reader.line_num or 1, "", "", Sentence("This is no table: %(why)s.", why=str(fault)))


def _fault_of_head(names: list[str], line: int, known: Sequence[str], needed: Sequence[str]) -> Fault | None:
    for name in names:
        if name not in known:
            ones = ", ".join(known)
            return Fault(
                line, name[:40], "", Sentence("There is no such column here. Known: %(ones)s.", ones=ones)
            )
        if names.count(name) > 1:
            return Fault(line, name, "", Sentence("The column stands there twice."))
    if missing := [name for name in needed if name not in names]:
        return Fault(line, missing[0], "", Sentence("This column is missing."))
    return None


def _row(line: int, cells: dict[str, str]) -> Row | Fault:
    said: dict[str, Any] = dict(cells)
    try:
        for name in _NUMBERS:
            if name in said:
                said[name] = whole_number(name, said[name])
        for name in _TRUE_OR_FALSE:
            if name in said:
                said[name] = _truth(name, said[name])
        if "traits_seen" in said:
            said["traits_seen"] = said["traits_seen"].split()
        condition = said.pop("condition", "")
        said["count_lines"] = [
            {**counted, "condition": condition} for counted in _counts(said.pop("counts", ""))
        ]
    except Unreadable as fault:
        return Fault(line, fault.field, fault.value, fault.remedy)
    return Row(line, said)


def _counts(cell: str) -> Iterator[dict[str, Any]]:
    for part in filter(None, (part.strip() for part in cell.split(";"))):
        what, equals, number = part.rpartition("=")
        if not equals:
            raise Unreadable("counts", part, Sentence("Write what was seen, = and how many."))
        what = " ".join(what.lower().split())
        n = whole_number("counts", number.strip())
        if kind := _KINDS.get(what):
            yield {"kind": kind, "n": n}
        else:
            variants = what.split(" or ")
            yield {"kind": "one_of_these" if len(variants) > 1 else "variant", "variants": variants, "n": n}


def whole_number(field: str, cell: str) -> int:
    """Errors: Unreadable."""
    if not (cell.isascii() and cell.isdigit() and len(cell) < 10):
        raise Unreadable(field, cell, Sentence("Write a whole number."))
    return int(cell)


def _truth(field: str, cell: str) -> bool:
    if cell.lower() not in _TRUTHS:
        raise Unreadable(field, cell, Sentence("Write yes or no."))
    return _TRUTHS[cell.lower()]
