"""The comparison sheet of a release: for each variant a crop of what tells it, and that in a line."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from registry.methods.hunting import tells
from registry.models import Edition, Mark, Release, Trait, Variant
from registry.sentences import Sentence

from .tables import Cell, Row, Table, release_table

MOST_CARDS = 25
LONGEST_TELL = 110
MOST_ALIKE = 4
NOTHING = Sentence("nothing known tells it apart yet")
ALONE = Sentence("the only one known")


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
    cards = cards_of(rows, table)
    return Sheet(
        cards=cards,
        left_out=len(table.rows) - len(rows),
        set_apart=len(table.set_apart),
        credits=credits_of(cards),
        edition=Edition.objects.order_by("-number").first(),
    )


def cards_of(rows: list[Row], table: Table) -> list[Card]:
    """Each told from all others on the sheet by as few details as will do."""
    known = [
        {t.public_id: c.claim.state.survivor.public_id for t, c in told_in(row, table) if c.claim}
        for row in rows
    ]
    named = [{t.public_id for t, c in told_in(row, table) if is_telling(c)} for row in rows]
    seen = {trait.public_id for trait in table.traits if table.seen_in_pack.get(trait.pk)}
    cards = []
    for number, (row, tell) in enumerate(zip(rows, tells(known, seen, named), strict=True)):
        # Of some others too little is known: it is told by what it was reported to differ in as well.
        told = {*tell.traits, *(named[number] if tell.unlike else ())}
        own = {(trait, known[number][trait]) for trait in told}
        alike = [other + 1 for other in tell.unlike if own and own <= known[other].items()]
        telling = [it for it in told_in(row, table) if it[0].public_id in told]
        said = ALONE if len(rows) == 1 and not telling else words_of(telling, alike)
        cards.append(Card(number + 1, row.variant, said, crop_of(row, telling)))
    return cards


def told_in(row: Row, table: Table) -> list[tuple[Trait, Cell]]:
    return [pair for pair in zip(table.traits, row.cells, strict=True) if pair[1].claim]


def crop_of(row: Row, telling: list[tuple[Trait, Cell]]) -> Mark | None:
    """Of what it was reported to differ in, else of what tells it, else of anything."""
    reported = [cell for _, cell in telling if is_telling(cell)]
    cells = [*reported, *(cell for _, cell in telling), *row.cells]
    return next((cell.crop for cell in cells if cell.crop), None)


def is_telling(cell: Cell) -> bool:
    return cell.claim is not None and cell.claim.is_difference and cell.claim.base_claim_id is not None


def words_of(telling: list[tuple[Trait, Cell]], alike: list[int]) -> str:
    """`alike`: numbers of the cards that have all of it too."""
    said = "; ".join(f"{trait}: {cell.claim.state.survivor}" for trait, cell in telling if cell.claim)
    said = f"{said[: LONGEST_TELL - 1].rstrip()}…" if len(said) > LONGEST_TELL else said or NOTHING
    if not alike:
        return said
    numbers = ", ".join(map(str, alike[:MOST_ALIKE])) + (" …" if alike[MOST_ALIKE:] else "")
    others = Sentence("no. %(numbers)s", numbers=numbers)
    return Sentence("%(told)s; may still be %(others)s", told=said, others=others)


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
