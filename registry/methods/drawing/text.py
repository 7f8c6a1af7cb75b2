"""How much text fits, for fonts that are not known here: widths are those of a plain one at 13 pixels, and of the
labels of an axis those of a wide one, as they may not touch.
"""

from dataclasses import dataclass

PHONE = 390  # pixels
MARGIN = 14
LETTER = 7.0
WIDE_LETTER = 7.7
"""Pixels of a figure at 12 pixels in a wide font."""
BETWEEN = 6  # pixels between two labels
LINE = 17.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A labelled place on an axis; `anchor` keeps the label of an outermost tick inside the drawing."""

    x: float
    text: str
    anchor: str = "middle"  # start, middle or end of the text stands at x

    @property
    def span(self) -> tuple[float, float]:
        """From where to where the label goes."""
        width = len(self.text) * WIDE_LETTER
        start = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return start, start + width

    def touches(self, other: "Tick") -> bool:
        (a, b), (c, d) = self.span, other.span
        return a < d + BETWEEN and c < b + BETWEEN


def wrapped(text: str, width: float, most: int = 3) -> tuple[str, ...]:
    """The text in lines that fit the width, at most so many; what does not fit ends in an ellipsis.

    Words longer than a line are broken.

    >>> wrapped("chrome wheels, second card", 90)
    ('chrome', 'wheels,', 'second card')
    """
    room = max(2, int(width / LETTER))
    lines: list[str] = []
    for word in text.split():
        while word:
            joined = f"{lines[-1]} {word}" if lines else word
            if lines and len(joined) <= room:
                lines[-1], word = joined, ""
            else:
                lines.append(word[:room])
                word = word[room:]
    if len(lines) <= most:
        return tuple(lines)
    kept = lines[:most]
    kept[-1] = kept[-1][: room - 1].rstrip() + "…"
    return tuple(kept)


def fitted(ticks: list[Tick]) -> tuple[Tick, ...]:
    """The ticks with the first and last labels turned inwards; one between that would touch another loses its label.

    >>> places = (0, "1 in 1,000"), (50, "1 in 100"), (150, "1 in 10"), (250, "all")
    >>> [tick.text for tick in fitted([Tick(x, text) for x, text in places])]
    ['1 in 1,000', '', '1 in 10', 'all']
    """
    last = len(ticks) - 1
    anchors = ["start" if i == 0 else "end" if i == last else "middle" for i in range(len(ticks))]
    turned = [Tick(tick.x, tick.text, anchor) for tick, anchor in zip(ticks, anchors, strict=True)]
    shown = [turned[0], turned[-1]] if turned else []
    for number, tick in enumerate(turned[1:-1], start=1):
        if any(tick.touches(other) for other in shown):
            turned[number] = Tick(tick.x, "", tick.anchor)
        else:
            shown.append(tick)
    return tuple(turned)
