"""Shares with their intervals, all on one scale: each step to the left is ten times scarcer."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, log10

from registry.sentences import Sentence, in_thousands

from .text import LINE, MARGIN, PHONE, Tick, fitted, wrapped

ROW = 3.9 * LINE
FEWEST_DECADES, MOST_DECADES = 1, 4


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """A label above a bar from low to high with a mark at the estimate; only a label and text without one.

    `open_low`: the interval goes on to the left of the scale, down to none.
    """

    label: tuple[str, ...]
    text: str
    y: float
    bar_y: float
    x_low: float | None = None
    x_mark: float | None = None
    x_high: float | None = None
    open_low: bool = False


@dataclass(frozen=True, slots=True)
class IntervalChart:
    width: float
    height: float
    axis_y: float
    ticks: tuple[Tick, ...]
    rows: tuple[IntervalRow, ...]


def draw_intervals(
    shares: Sequence[tuple[str, str, tuple[float, float, float] | None]], width: float = PHONE
) -> IntervalChart:
    """Rows in the order given, from (label, text, (low, estimate, high) or None), shares from 0 to 1.

    The scale is logarithmic, from 1 in 10 to at most 1 in 10,000 on the left, and ends at all on the right.
    Errors: ValueError naming the row whose numbers are not in order between 0 and 1.
    """
    for label, _, share in shares:
        if share and not 0 <= share[0] <= share[1] <= share[2] <= 1:
            raise ValueError(f"{label}: low, estimate and high must be in order between 0 and 1, got {share}")
    decades = _decades([share for _, _, share in shares if share])

    def place(share: float) -> float:
        inside = min(0.0, max(-decades, log10(share))) if share > 0 else -decades
        return MARGIN + (width - 2 * MARGIN) * (1 + inside / decades)

    rows, y = [], float(MARGIN) + LINE
    for label, text, share in shares:
        bar = y + 1.3 * LINE
        lines = wrapped(label, width - 2 * MARGIN, most=1)
        if share:
            low, estimate, high = share
            starts_left = low < 10.0**-decades
            rows.append(
                IntervalRow(lines, text, y, bar, place(low), place(estimate), place(high), starts_left)
            )
        else:
            rows.append(IntervalRow(lines, text, y, bar))
        y += ROW
    ticks = [Tick(place(10.0**-n), _tick(n)) for n in range(decades, -1, -1)]
    return IntervalChart(width, y + 2 * LINE, y, fitted(ticks), tuple(rows))


def _tick(decade: int) -> Sentence:
    return Sentence("1 in %(many)s", many=in_thousands(10**decade)) if decade else Sentence("all")


def _decades(shares: Sequence[tuple[float, float, float]]) -> int:
    """As many powers of ten as show every estimate, and every lower end that is not next to none."""
    shown = [end for low, estimate, _ in shares for end in (low, estimate) if end >= 10.0**-MOST_DECADES]
    least = min(shown, default=1.0)
    return min(MOST_DECADES, max(FEWEST_DECADES, ceil(-log10(least) - 1e-9)))
