"""What may be said about when the variants of a release were made or shipped.

Days are whole numbers, such as `date.toordinal()` gives. What a statement says is read as bounds on four days
per variant: first and last *made*, first and last *shipped* (`first`, `last` below, of the kind that the
statement dates). Each reading is the weakest that the words allow, for factories overlap and states return:

| kind | says |
|---|---|
| `before` A, B | first A earlier than first B |
| `alongside` A, B | neither ended before the other began |
| `ended_by` A, B | last A earlier than first B: A was replaced for good |
| `returned` A, B | first A earlier than first B, and A once more later than first B |
| `not_before` A | first A on the day `earliest` or later |
| `not_after` A | last A on the day `latest` or earlier |
| `seen` A … | each had been made and shipped by the day `latest` |
| `packed` A … | each had been made by the day `latest`: packed together, perhaps from leftover stock |
| `coded` A | an item whose code says a day from `earliest` to `latest` (its precision) |

A code that dates the *parts* (moulding, printing) says only that an item was made no earlier; one that dates
packing (`shipping`), like the window of an assortment that held it, says that it had been made by then and was
shipped no earlier. What a year on a base dates is the tool, which is no statement about an item. Source: common
practice of the trade, no published source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite
from typing import Literal

Kind = Literal[
    "before", "alongside", "ended_by", "returned", "not_before", "not_after", "seen", "packed", "coded"
]
Dates = Literal["production", "shipping", "parts"]

RELATIONS = frozenset({"before", "alongside", "ended_by", "returned"})
_NEEDS = {  # which days a kind needs: earliest, latest
    "not_before": (True, False),
    "not_after": (False, True),
    "seen": (False, True),
    "packed": (False, True),
    "coded": (True, True),
} | dict.fromkeys(RELATIONS, (False, False))


@dataclass(frozen=True, slots=True)
class Statement:
    """One statement. `strand` names a factory or region where known; `support` is what speaks for it, >= 0."""

    id: str
    kind: Kind
    variants: tuple[str, ...]
    earliest: int | None = None
    latest: int | None = None
    dates: Dates = "production"
    strand: str = ""
    support: float = 1.0
    by: str = ""


@dataclass(frozen=True, slots=True)
class Window:
    """The day the line began, where known, and today: no variant was first made outside."""

    begin: int | None = None
    today: int | None = None


NO_LIMITS = Window()


def check(statements: Iterable[Statement], window: Window) -> None:
    """Errors: ValueError naming the first statement that cannot be taken, and why."""
    if window.begin is not None and window.today is not None and window.begin > window.today:
        raise ValueError(f"the line began on day {window.begin}, after today, day {window.today}")
    ids: set[str] = set()
    for statement in statements:
        if fault := _fault(statement, window):
            raise ValueError(f"statement {statement.id}: {fault}")
        if statement.id in ids:
            raise ValueError(f"statement {statement.id}: its id is used twice")
        ids.add(statement.id)


def _fault(statement: Statement, window: Window) -> str:
    kind, variants = statement.kind, statement.variants
    if kind not in _NEEDS:
        return f"the kind {kind!r} is not known"
    if kind in RELATIONS and len(variants) != 2:
        return f"{kind} relates two variants, got {len(variants)}"
    if kind in ("not_before", "not_after", "coded") and len(variants) != 1:
        return f"{kind} is about one variant, got {len(variants)}"
    if not variants or len(set(variants)) != len(variants):
        return f"it relates {variants[0]} to itself" if variants else "it names no variant"
    if statement.dates not in ("production", "shipping", "parts"):
        return f"it dates {statement.dates!r}, which is neither production, shipping nor parts"
    if statement.dates == "parts" and kind != "coded":
        return "only a code dates parts"
    if not (isfinite(statement.support) and statement.support >= 0):
        return f"its support must be a number from 0 up, got {statement.support}"
    return _fault_of_days(statement, window)


def _fault_of_days(statement: Statement, window: Window) -> str:
    given = (statement.earliest is not None, statement.latest is not None)
    if given != _NEEDS[statement.kind]:
        needed = " and ".join(
            n for n, on in zip(("earliest", "latest"), _NEEDS[statement.kind], strict=True) if on
        )
        return f"{statement.kind} takes {needed or 'no day'}"
    for day in (statement.earliest, statement.latest):
        if day is not None and window.begin is not None and day < window.begin:
            return f"day {day} is before the line began, day {window.begin}"
        if day is not None and window.today is not None and day > window.today:
            return f"day {day} is in the future: today is day {window.today}"
    if statement.earliest is not None and statement.latest is not None:
        if statement.earliest > statement.latest:
            return f"its days run backwards, from {statement.earliest} to {statement.latest}"
    return ""


def distinct(statements: Iterable[Statement]) -> tuple[Statement, ...]:
    """Each thing that a member says counts once, however often they say it: the best supported copy, lowest id.

    Two members who say the same stay two statements; those without a named member are never merged.
    """
    kept: dict[tuple[object, ...], Statement] = {}
    for s in sorted(statements, key=lambda s: (-s.support, s.id)):
        names = s.variants if s.kind in ("before", "ended_by", "returned") else tuple(sorted(s.variants))
        said = (s.kind, names, s.earliest, s.latest, s.dates, s.strand)
        kept.setdefault((*said, s.by) if s.by else (*said, None, s.id), s)
    return tuple(sorted(kept.values(), key=lambda s: s.id))
