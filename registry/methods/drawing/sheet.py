"""A comparison sheet as one picture: a card for each variant, in as many columns as keep all of them on one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .text import wrapped

WIDTH, EDGE, GAP = 1080.0, 36.0, 24.0
CODE = 150.0
HEAD, SMALL = 34, 18
LINE_BY_SIZE = 1.3
PLAIN_SIZE, STRONG_WIDER = 13, 0.88
"""The size that `wrapped` knows the widths of, and how much less fits where letters are strong."""


@dataclass(frozen=True, slots=True)
class Words:
    """What a card says: `number` of the variant on the sheet, its title, what tells it, its id."""

    number: int
    title: str
    tell: str
    id: str


@dataclass(frozen=True, slots=True)
class Text:
    x: float
    y: float
    size: int
    words: str
    is_strong: bool = False


@dataclass(frozen=True, slots=True)
class CardPlace:
    """Where the crop of a card stands, or the code."""

    number: int
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class SheetDrawing:
    width: float
    height: float
    cards: tuple[CardPlace, ...]
    texts: tuple[Text, ...]
    code: CardPlace
    """Where the code with the page's address stands; beside the foot."""


def columns_for(count: int) -> int:
    """2 to 5: so many that all cards fit on a page of A4 or Letter.

    >>> [columns_for(n) for n in (0, 4, 5, 9, 10, 16, 17, 25)]
    [2, 2, 3, 3, 4, 4, 5, 5]
    """
    return next((columns for columns in (2, 3, 4) if count <= columns**2), 5)


def draw_sheet(head: Sequence[str], cards: Sequence[Words], foot: Sequence[str]) -> SheetDrawing:
    """`head`: the name, then smaller lines; `foot`: credits and the like. Heights follow from the longest texts."""
    texts: list[Text] = []
    y = EDGE
    for n, words in enumerate(head):
        y = _write(
            texts, words, EDGE, y, WIDTH - 2 * EDGE, HEAD if n == 0 else SMALL, most=2, is_strong=n == 0
        )
    y += GAP / 2
    columns = columns_for(len(cards))
    width = (WIDTH - 2 * EDGE - GAP * (columns - 1)) / columns
    places: list[CardPlace] = []
    for first in range(0, len(cards), columns):
        bottoms = [y]
        for column, card in enumerate(cards[first : first + columns]):
            x = EDGE + column * (width + GAP)
            places.append(CardPlace(card.number, x, y, width, width * 3 / 4))
            bottoms.append(_label(texts, card, x, y + width * 3 / 4, width, 24 - 2 * columns))
        y = max(bottoms) + GAP
    code = CardPlace(0, WIDTH - EDGE - CODE, y, CODE, CODE)
    for words in foot:
        y = _write(texts, words, EDGE, y, WIDTH - 2 * EDGE - CODE - GAP, SMALL, most=6)
    y = max(y, code.y + CODE)
    return SheetDrawing(WIDTH, y + EDGE / 2, tuple(places), tuple(texts), code)


def _label(texts: list[Text], card: Words, x: float, y: float, width: float, size: int) -> float:
    y = _write(texts, f"{card.number}. {card.title}", x, y + 4, width, size, most=2, is_strong=True)
    y = _write(texts, card.tell, x, y, width, size, most=4)
    return _write(texts, card.id, x, y, width, size - 2, most=1)


def _write(
    texts: list[Text],
    words: str,
    x: float,
    y: float,
    width: float,
    size: int,
    most: int,
    is_strong: bool = False,
) -> float:
    """The words in lines below y; answers where the next may begin."""
    room = width * PLAIN_SIZE / size * (STRONG_WIDER if is_strong else 1)
    for line in wrapped(words, room, most):
        y += size * LINE_BY_SIZE
        texts.append(Text(x, y, size, line, is_strong))
    return y
