"""Statements of order in the words of methods.sequence; apart, so that only what puts variants in order loads that."""

from __future__ import annotations

from typing import cast

from registry.methods.sequence import Dates, Kind
from registry.methods.sequence import Statement as Said
from registry.models import CodeDates, Statement, StatementKind

DATED: dict[str, Dates] = {
    CodeDates.MOULDING: "parts",
    CodeDates.PRINTING: "parts",
    CodeDates.PACKING: "shipping",
}
"""What a code dates, in the words of methods.sequence: a part that was printed or moulded, or the packing."""


def said_in_order(statement: Statement, variants: tuple[str, ...], support: float) -> Said:
    """The statement as methods.sequence takes it, of the variants that stand for those it names. No query.

    A pack seen with both says of each that it had been made by the packing date; a code, that its item was dated
    within the days that the code can mean. `statement.code_pattern` is read where there is one.
    """
    first = statement.on.toordinal() if statement.on else None
    last = statement.until.toordinal() if statement.until else first
    pattern = statement.code_pattern
    is_packed = statement.kind == StatementKind.PACKED
    by_source: Dates = "shipping" if statement.is_of_shipping else "production"
    dates = DATED[pattern.dates] if pattern else by_source
    return Said(
        statement.public_id,
        cast(Kind, statement.kind),
        variants,
        earliest=first if statement.kind in (StatementKind.NOT_BEFORE, StatementKind.CODED) else None,
        latest=last
        if statement.kind in (StatementKind.NOT_AFTER, StatementKind.CODED, StatementKind.PACKED)
        else None,
        dates="production" if is_packed else dates,
        support=support,
        by=str(statement.author_id),
    )
