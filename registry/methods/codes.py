"""Production codes, read into the days that they can mean.

A template says how one kind of code is built, from left to right. A field in braces stands for as many symbols as
it has, everything else for itself:

| field | is |
|---|---|
| `{yyyy}`, `{yy}`, `{y}` | the year, its last two digits, its last digit |
| `{Y}` | a letter for the year: A is the first year that the code can mean |
| `{mm}`, `{M}` | the month as two digits, or as a letter from A for January to L for December |
| `{ww}` | the week of ISO 8601, 01 to 53; the year is then that of the week |
| `{dd}` | the day of the month |
| `{ddd}` | the day of the year, 001 to 366 |
| `{#}`, `{?}` | any one digit, or any one letter: a shift, a works, a machine |

So `{Y}{ww}` reads `C07` as the seventh week of the third year. A code holds capital letters, digits and `-./ `;
spaces at either end, and whether letters are small, make no difference. No expression of a reader's is ever run.
Source: common practice of the trade, no published source; weeks and days of the year after ISO 8601.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import NamedTuple

from registry.sentences import Sentence, counted

LONGEST = 40
_FIELDS = {"yyyy": 4, "yy": 2, "y": 1, "Y": 1, "mm": 2, "M": 1, "ww": 2, "dd": 2, "ddd": 3, "#": 1, "?": 1}
_LETTERS = frozenset({"Y", "M", "?"})
_YEARS = {"yyyy": 10_000, "yy": 100, "y": 10, "Y": 26}  # after how many years a field begins anew
_WITHIN = ((), ("mm",), ("M",), ("ww",), ("ddd",), ("mm", "dd"), ("M", "dd"))
_PART = re.compile(r"\{([^{}]*)\}|([A-Z0-9./ -])")


class Reading(NamedTuple):
    """The first and the last day that a code can mean, both included."""

    earliest: date
    latest: date


@dataclass(frozen=True)
class Pattern:
    """A template, the first year that it can mean, and by how many days the truth may lie outside what it says.

    Errors: ValueError naming what is wrong with the template.
    """

    template: str
    first_year: int
    margin_days: int = 0

    def __post_init__(self) -> None:
        fields = [field for field, _ in self._parts if field]
        years = [field for field in fields if field in _YEARS]
        within = [field for field in fields if field not in _YEARS and field not in "#?"]
        if len(years) != 1:
            raise ValueError(
                Sentence(
                    "%(template)s needs exactly one field for the year, such as {yy}", template=self.template
                )
            )
        if len(set(within)) != len(within) or not any(sorted(within) == sorted(known) for known in _WITHIN):
            raise ValueError(
                Sentence(
                    "%(template)s may go on after the year with a month, a month and a day, a week or a day "
                    "of the year, each once",
                    template=self.template,
                )
            )
        if not 1900 <= self.first_year <= 2200:
            raise ValueError(
                Sentence("the first year lies between 1900 and 2200, got %(year)s", year=self.first_year)
            )
        if not 0 <= self.margin_days <= 366:
            raise ValueError(Sentence("the margin is 0 to 366 days, got %(days)s", days=self.margin_days))

    @cached_property
    def _parts(self) -> tuple[tuple[str, str], ...]:
        """Each part as (field, "") or ("", symbol)."""
        return tuple(_parse(self.template))

    @property
    def length(self) -> int:
        """How many symbols a code of this pattern has."""
        return sum(_FIELDS[field] if field else 1 for field, _ in self._parts)

    @property
    def precision(self) -> str:
        """How finely it dates, before the margin: `a day`, `a week`, `a month` or `a year`."""
        fields = {field for field, _ in self._parts}
        if fields & {"dd", "ddd"}:
            return Sentence("a day")
        if "ww" in fields:
            return Sentence("a week")
        return Sentence("a month") if fields & {"mm", "M"} else Sentence("a year")

    def read(self, code: str) -> Reading:
        """The days that the code can mean.

        Errors: ValueError saying where the code departs from the pattern, or which date does not exist.
        """
        typed = " ".join(code.upper().split())
        if len(typed) != self.length:
            raise ValueError(
                Sentence(
                    "it has %(typed)s symbols, %(template)s has %(length)s",
                    typed=len(typed),
                    template=self.template,
                    length=self.length,
                )
            )
        found: dict[str, str] = {}
        at = 0
        for field, symbol in self._parts:
            piece = typed[at : at + (_FIELDS[field] if field else 1)]
            if field:
                _check(field, piece, at)
                found[field] = piece
            elif piece != symbol:
                raise ValueError(
                    Sentence(
                        "symbol %(at)s is %(piece)s where %(symbol)s stands",
                        at=at + 1,
                        piece=repr(piece),
                        symbol=repr(symbol),
                    )
                )
            at += len(piece)
        earliest, latest = _days(found, self._year(found))
        margin = timedelta(days=self.margin_days)
        return Reading(earliest - margin, latest + margin)

    def _year(self, found: Mapping[str, str]) -> int:
        field = next(name for name in _YEARS if name in found)
        if field == "Y":
            return self.first_year + ord(found["Y"]) - ord("A")
        # The only year with these last digits that is not before the first.
        year = self.first_year + (int(found[field]) - self.first_year) % _YEARS[field]
        if year > self.first_year + 99:
            raise ValueError(
                Sentence(
                    "the year %(year)s is none of the hundred from %(first)s on",
                    year=found[field],
                    first=self.first_year,
                )
            )
        return year


def _parse(template: str) -> Iterator[tuple[str, str]]:
    if not template or len(template) > LONGEST:
        raise ValueError(Sentence("a template has 1 to %(most)s symbols", most=LONGEST))
    at = 0
    while at < len(template):
        part = _PART.match(template, at)
        if part is None:
            raise ValueError(
                Sentence(
                    "%(template)s: nothing may stand where %(symbol)s does, symbol %(at)s",
                    template=template,
                    symbol=repr(template[at]),
                    at=at + 1,
                )
            )
        if part[2] is None and part[1] not in _FIELDS:
            raise ValueError(
                Sentence(
                    "%(template)s: there is no field %(field)s", template=template, field=f"{{{part[1]}}}"
                )
            )
        yield part[1] or "", part[2] or ""
        at = part.end()


def _check(field: str, piece: str, at: int) -> None:
    is_letters = field in _LETTERS
    if not (piece.isascii() and (piece.isalpha() if is_letters else piece.isdigit())):
        wanted = Sentence("a letter") if is_letters else counted("a digit", "%(n)s digits", len(piece))
        raise ValueError(
            Sentence(
                "%(piece)s stands where %(field)s takes %(wanted)s, from symbol %(at)s",
                piece=repr(piece),
                field=f"{{{field}}}",
                wanted=wanted,
                at=at + 1,
            )
        )


def _days(found: Mapping[str, str], year: int) -> tuple[date, date]:
    """The first and last day of the year, month, week or day named."""
    try:
        if "ww" in found:
            monday = date.fromisocalendar(year, int(found["ww"]), 1)
            return monday, monday + timedelta(days=6)
        if "ddd" in found:
            day = date(year, 1, 1) + timedelta(days=int(found["ddd"]) - 1)
            if day.year != year:
                raise ValueError
            return day, day
        month = int(found["mm"]) if "mm" in found else ord(found["M"]) - 64 if "M" in found else None
        if month is None:
            return date(year, 1, 1), date(year, 12, 31)
        if "dd" in found:
            day = date(year, month, int(found["dd"]))
            return day, day
        following = date(year + month // 12, month % 12 + 1, 1)
        return date(year, month, 1), following - timedelta(days=1)
    except ValueError:
        told = ", ".join(f"{{{name}}} {piece}" for name, piece in found.items() if name not in "#?")
        raise ValueError(Sentence("there is no such date as %(told)s", told=told)) from None
