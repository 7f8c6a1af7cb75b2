"""The journal as a chain: each line holds the digest of the line before it and its own.

A line's digest is SHA-256 over its canonical JSON (RFC 8785): number, verb, about, at, by, detail, and the digest of
the line before. So no line can be changed, removed, put in or moved without the digests giving it away, as long as
the digest of one later line is known from elsewhere: each published edition carries one. What is personal in a line
is there only as a commitment, SHA-256 over a random salt and the value; forgetting salt and value leaves the chain
as it was. Sources: FIPS 180-4; RFC 8785; linking by digests as in Haber and Stornetta 1991 (from memory).
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from .canon import canonical, whole_digest

BEGINNING = "0" * 64
"""What the first line names as the digest before it."""
PERSONAL = frozenset({"reason", "note", "caption", "display_name", "email"})
"""Keys of a line's detail that hold a member's own words, wherever in it they stand. Nothing is replayed from them."""
SALT_BYTES = 32


@dataclass(frozen=True, slots=True)
class Entry:
    """One line, as it is kept. `by` and `about_id` are public ids; `by` is None where the system acted."""

    number: int
    verb: str
    about_kind: str
    about_id: str
    at: datetime
    by: str | None
    detail: Mapping[str, Any]
    previous: str = ""
    digest: str = ""


@dataclass(frozen=True, slots=True)
class Head:
    """How long the chain was at some time, the digest of its last line then, and who vouches for that."""

    size: int
    digest: str
    vouched_by: str


@dataclass(frozen=True, slots=True)
class Fault:
    """The first line that is wrong: changed, missing, inserted, reordered or cut off; and the finding in words."""

    number: int
    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class Finding:
    """What reading the whole chain came to: how many lines held, the digest of the last of them, the first fault."""

    size: int
    digest: str
    fault: Fault | None = None


def entry_digest(entry: Entry, previous: str, number: int | None = None) -> str:
    """SHA-256 of the line in canonical JSON, after the line with digest `previous`, in hex.

    Errors: ValueError naming what in the detail is not admitted, such as a fraction.
    """
    record = {
        "number": entry.number if number is None else number,
        "verb": entry.verb,
        "about": {"kind": entry.about_kind, "id": entry.about_id},
        "at": entry.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "by": entry.by,
        "detail": dict(entry.detail),
        "previous": previous,
    }
    return whole_digest(canonical(record, nulls=True))


def commitment(salt: str, value: object) -> str:
    """SHA-256 over the salt and the value in canonical JSON, in hex. `salt` is SALT_BYTES random bytes, in hex."""
    return hashlib.sha256(bytes.fromhex(salt) + canonical(value, nulls=True)).hexdigest()


def personal_parts(detail: Mapping[str, Any], path: str = "") -> dict[str, Any]:
    """What in a detail is personal, by its path (`reason`, `photos.0.caption`); empty values are left as they are."""
    found: dict[str, Any] = {}
    for key, value in detail.items():
        here = f"{path}{key}"
        if key in PERSONAL and value not in ("", None):
            found[here] = value
        elif isinstance(value, Mapping):
            found |= personal_parts(value, f"{here}.")
        elif isinstance(value, list | tuple):
            for place, item in enumerate(value):
                if isinstance(item, Mapping):
                    found |= personal_parts(item, f"{here}.{place}.")
    return found


def replaced(detail: Mapping[str, Any], parts: Mapping[str, Any]) -> dict[str, Any]:
    """The detail with other values at some of its paths."""

    def at(value: Any, path: str) -> Any:
        if path in parts:
            return parts[path]
        before = f"{path}." if path else ""
        if isinstance(value, Mapping):
            return {key: at(inner, f"{before}{key}") for key, inner in value.items()}
        if isinstance(value, list | tuple):
            return [at(inner, f"{before}{place}") for place, inner in enumerate(value)]
        return value

    return {key: at(value, key) for key, value in detail.items()}


def verify(entries: Iterable[Entry], heads: Iterable[Head] = (), size: int = 0) -> Finding:
    """Read the chain once, in order of number, up to the first line that is wrong.

    `heads` are what is known of it from elsewhere; `size` is how many lines there are, to look for where a line that
    was moved belongs. Lines added at the end by whoever can write to the database and seal them are not told apart
    from others: only the next head fixes them.
    """
    known = {head.size: head for head in heads}
    held, digest = 0, BEGINNING
    lines = iter(entries)
    line = next(lines, None)
    while line is not None:
        after = next(lines, None)
        fault = fault_of(line, after, held, digest, size)
        if fault is None and (head := known.get(line.number)) and head.digest != line.digest:
            words = f"line {line.number} is not the one that {head.vouched_by} vouches for"
            fault = Fault(line.number, "changed", words)
        if fault:
            return Finding(held, digest, fault)
        held, digest, line = line.number, line.digest, after
    longest = max(known, default=0)
    if held < longest:
        words = f"the journal ends with line {held}; {known[longest].vouched_by} vouches for {longest} lines"
        return Finding(held, digest, Fault(held + 1, "cut off", words))
    return Finding(held, digest)


def fault_of(line: Entry, after: Entry | None, held: int, digest: str, size: int) -> Fault | None:
    """What is wrong with the line that is to follow number `held`, whose digest is `digest`."""
    number = held + 1
    if line.number > number:
        return Fault(number, "missing", f"line {number} is missing; the next one is {line.number}")
    if line.number < number:
        return Fault(line.number, "inserted", f"a second line {line.number} was put in")
    if not fits(line, line.number):
        return moved(line, after, digest, size)
    if line.previous == digest:
        return None
    if after is not None and after.previous == line.digest and held:
        return Fault(held, "changed", f"line {held} is not the one that line {number} was written after")
    return Fault(number, "inserted", f"line {number} was not written after line {held}")


def moved(line: Entry, after: Entry | None, digest: str, size: int) -> Fault:
    """A line whose digest is not that of what it says: where under another number it is, it was moved."""
    number = line.number
    place = next((n for n in range(1, size + 2) if n != number and fits(line, n)), None)
    if place is None:
        if after is not None and after.previous == digest:
            return Fault(number, "inserted", f"line {number} was put in; line {number + 1} followed here")
        return Fault(number, "changed", f"line {number} does not say what it said when it was written")
    shift = place - number
    rest_moved = after is None or fits(after, after.number + shift)
    if shift > 0 and rest_moved:
        return Fault(number, "missing", f"line {number} is missing; line {place} was moved up into its place")
    if shift < 0 and rest_moved:
        return Fault(place, "inserted", f"a line {place} was put in; what it was stands as line {number}")
    return Fault(number, "reordered", f"line {place} stands in the place of line {number}")


def fits(line: Entry, number: int) -> bool:
    """The line's own digest is that of what it says, under this number."""
    try:
        return entry_digest(line, line.previous, number) == line.digest
    except ValueError:  # what it says now could never have been written
        return False


def linked(entries: Iterable[Entry], digest: str = BEGINNING, after: int = 0) -> Iterable[Entry]:
    """The entries numbered and chained, after the line of that number and digest."""
    for number, entry in enumerate(entries, start=after + 1):
        previous, digest = digest, entry_digest(entry, digest, number)
        yield replace(entry, number=number, previous=previous, digest=digest)
