"""A cabinet as a table, to take along and to bring back: RFC 4180, one row for each entry.

    id            of the entry; without one it is new
    release       id; `release_name` beside it is for people and not read
    variant       id, or empty: not checked yet which one; `variant_title` is not read
    pack_version  id, or empty; `pack_version_name` is not read
    condition     sealed, boxed or loose
    count, to_swap, wear, note

A cell that a spreadsheet would run as a formula has an apostrophe before it, and exactly one is taken off on
reading. Nothing here knows what an id names.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from registry.sentences import Sentence

from .edition import cell, uncell
from .sheets import MOST_LINES, TOO_MANY_ROWS, Fault, Unreadable, table, text_of, whole_number

COLUMNS = (
    "id", "release", "release_name", "variant", "variant_title", "pack_version", "pack_version_name", "condition",
    "count", "to_swap", "wear", "note",
)  # fmt: skip
IDS = ("id", "release", "variant", "pack_version")


@dataclass(frozen=True, slots=True)
class Entry:
    """One row. `ids` by column, as they were written; `words` is what is said of it, in full."""

    line: int
    ids: dict[str, str]
    words: dict[str, Any]


def write_cabinet(rows: Iterable[Mapping[str, object]]) -> bytes:
    """The table, CRLF, every cell quoted, UTF-8 without a mark; `rows` by column, None for an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow(["" if row[name] is None else cell(row[name]) for name in COLUMNS])
    return out.getvalue().encode()


def read_cabinet(data: bytes) -> tuple[list[Entry], list[Fault]]:
    """Every row that can be read, and what is wrong with the others.

    A row says all of an entry: a missing count is 1, any other missing cell is empty.
    Errors: none; a file that is too large, no UTF-8, or without a row, is one fault.
    """
    text = text_of(data)
    if isinstance(text, Fault):
        return [], [text]
    entries: list[Entry] = []
    faults: list[Fault] = []
    for found in table(text, COLUMNS, needed=("release", "condition")):
        if isinstance(found, Fault):
            faults.append(found)
            continue
        line, cells = found
        if len(entries) + len(faults) >= MOST_LINES:
            return [], [Fault(line, "", "", TOO_MANY_ROWS)]
        try:
            entries.append(_entry(line, {name: uncell(value) for name, value in cells.items()}))
        except Unreadable as fault:
            faults.append(Fault(line, fault.field, fault.value, fault.remedy))
    if not entries and not faults:
        return [], [Fault(1, "", "", Sentence("The file holds no row below its head."))]
    return entries, faults


def _entry(line: int, cells: dict[str, str]) -> Entry:
    if "release" not in cells:
        raise Unreadable("release", "", Sentence("Give the id of the release, as its page shows it."))
    words: dict[str, Any] = {name: cells.get(name, "") for name in ("condition", "wear", "note")}
    words["condition"] = words["condition"].lower()
    words["count"] = whole_number("count", cells.get("count", "1"))
    words["to_swap"] = whole_number("to_swap", cells.get("to_swap", "0"))
    return Entry(line, {name: cells[name] for name in IDS if name in cells}, words)
