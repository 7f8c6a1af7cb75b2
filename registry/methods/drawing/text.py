"""How much text fits, for fonts that are not known here: widths are those of a plain one at 13 pixels, rounded up."""

from dataclasses import dataclass

PHONE = 390  # pixels
MARGIN = 14
LETTER = 7.0
LINE = 17.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A labelled place on an axis; `anchor` keeps the label of an outermost tick inside the drawing."""

    x: float
    text: str
    anchor: str = "middle"  # start, middle or end of the text stands at x


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


def ends_inside(ticks: list[Tick]) -> tuple[Tick, ...]:
    """The ticks with the first and last labels turned inwards."""
    last = len(ticks) - 1
    anchors = ["start" if i == 0 else "end" if i == last else "middle" for i in range(len(ticks))]
    return tuple(Tick(tick.x, tick.text, anchor) for tick, anchor in zip(ticks, anchors, strict=True))
