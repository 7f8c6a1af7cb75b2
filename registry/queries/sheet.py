"""The comparison sheet of a release: for each variant a crop of what tells it, and that in a line."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from registry.models import Edition, Mark, Release, Trait, Variant
from registry.sentences import Sentence

from .tables import Cell, Row, Table, release_table

MOST_CARDS = 25
LONGEST_TELL = 110
NOTHING = Sentence("nothing known tells it apart yet")


@dataclass(frozen=True)
class Card:
    number: int
    variant: Variant
    tell: str
    crop: Mark | None


@dataclass(frozen=True)
class Sheet:
    """`left_out`: how many more variants there are than cards. `credits`: which cards' pictures are whose."""

    cards: list[Card] = field(default_factory=list)
    left_out: int = 0
    set_apart: int = 0
    credits: list[str] = field(default_factory=list)
    edition: Edition | None = None


def comparison_sheet(release: Release) -> Sheet:
    """In order of first sighting, as the release's page has it; at most 25 cards. Queries: 6."""
    table = release_table(release)
    rows = table.rows[:MOST_CARDS]
    cards = [card_of(number, row, table) for number, row in enumerate(rows, start=1)]
    return Sheet(
        cards=cards,
        left_out=len(table.rows) - len(rows),
        set_apart=len(table.set_apart),
        credits=credits_of(cards),
        edition=Edition.objects.order_by("-number").first(),
    )


def card_of(number: int, row: Row, table: Table) -> Card:
    telling = [pair for pair in zip(table.traits, row.cells, strict=True) if is_telling(pair[1])]
    # The first sent differs from nothing: what others differ from it in tells it.
    telling = telling or [pair for pair in zip(table.traits, row.cells, strict=True) if pair[1].claim][:2]
    crop = next((cell.crop for _, cell in telling if cell.crop), None)
    crop = crop or next((cell.crop for cell in row.cells if cell.crop), None)
    return Card(number, row.variant, words_of(telling), crop)


def is_telling(cell: Cell) -> bool:
    return cell.claim is not None and cell.claim.is_difference and cell.claim.base_claim_id is not None


def words_of(telling: list[tuple[Trait, Cell]]) -> str:
    said = "; ".join(f"{trait}: {cell.claim.state.survivor}" for trait, cell in telling if cell.claim)
    return f"{said[: LONGEST_TELL - 1].rstrip()}…" if len(said) > LONGEST_TELL else said or NOTHING


def credits_of(cards: list[Card]) -> list[str]:
    """`1, 4 by Keel, CC BY 4.0`, in order of first use."""
    used: dict[tuple[str, str], list[int]] = defaultdict(list)
    for card in cards:
        if card.crop:
            photo = card.crop.photo
            used[photo.owner.credit, photo.get_licence_display()].append(card.number)
    return [
        Sentence(
            "%(cards)s by %(credit)s, %(licence)s",
            cards=", ".join(map(str, numbers)),
            credit=credit,
            licence=licence,
        )
        for (credit, licence), numbers in used.items()
    ]
