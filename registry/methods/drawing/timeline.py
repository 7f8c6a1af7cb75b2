"""What was first seen when: one row each, earliest first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from registry.sentences import Sentence

from .text import LINE, MARGIN, PHONE, Tick, fitted, wrapped

ROW = 2.4 * LINE
MOST_TICKS = 5
_MONTHS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 6000)
_NAMES = (
    Sentence("Jan %(year)s"),
    Sentence("Feb %(year)s"),
    Sentence("Mar %(year)s"),
    Sentence("Apr %(year)s"),
    Sentence("May %(year)s"),
    Sentence("Jun %(year)s"),
    Sentence("Jul %(year)s"),
    Sentence("Aug %(year)s"),
    Sentence("Sep %(year)s"),
    Sentence("Oct %(year)s"),
    Sentence("Nov %(year)s"),
    Sentence("Dec %(year)s"),
)


@dataclass(frozen=True, slots=True)
class TimelineRow:
    """A label above a line from first to last seen, with a mark at the first."""

    label: tuple[str, ...]
    y: float
    bar_y: float
    x_first: float
    x_last: float
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Timeline:
    width: float
    height: float
    axis_y: float
    ticks: tuple[Tick, ...]
    rows: tuple[TimelineRow, ...]


def draw_first_seen(seen: Sequence[tuple[str, int, int]], width: float = PHONE) -> Timeline:
    """Rows from (label, first day, last day), by first day, then by label. First seen in shops is shipping order.

    Units: days as `date.toordinal()` gives them. Errors: ValueError naming the row whose last day is earlier.
    """
    for label, first, last in seen:
        if last < first:
            raise ValueError(f"{label}: last seen on day {last}, before it was first seen on day {first}")
    if not seen:
        return Timeline(width, 2 * MARGIN, float(MARGIN), (), ())
    months = _axis(min(first for _, first, _ in seen), max(last for _, _, last in seen))
    start, end = months[0].toordinal(), months[-1].toordinal()

    def place(day: int) -> float:
        return MARGIN + (width - 2 * MARGIN) * (day - start) / (end - start)

    rows, y = [], float(MARGIN) + LINE
    for label, first, last in sorted(seen, key=lambda row: (row[1], row[0])):
        lines = wrapped(label, width - 2 * MARGIN, most=1)
        days = date.fromordinal(first), date.fromordinal(last)
        rows.append(TimelineRow(lines, y, y + 0.7 * LINE, place(first), place(last), *days))
        y += ROW
    ticks = [Tick(place(month.toordinal()), _name(month)) for month in months]
    return Timeline(width, y + 2 * LINE, y, fitted(ticks), tuple(rows))


def _axis(first: int, last: int) -> list[date]:
    """Firsts of months, evenly spaced, from before the first day to after the last: as many as can be read."""
    begin, until = date.fromordinal(first), date.fromordinal(last)
    for step in _MONTHS:
        number = begin.year * 12 + begin.month - 1
        number -= number % step if step <= 12 else number % 12
        months = [_month(number)]
        while months[-1] <= until:
            number += step
            months.append(_month(number))
        if len(months) <= MOST_TICKS:
            break
    return months


def _name(month: date) -> Sentence:
    return Sentence(_NAMES[month.month - 1].one, year=str(month.year))


def _month(number: int) -> date:
    return date(number // 12, number % 12 + 1, 1)
