"""Which known variants are nearest to given states: catches a report that repeats a variant in another name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from registry.methods.identify.table import UNKNOWN, Table


@dataclass(frozen=True, slots=True)
class Near:
    """How a variant compares on the given traits; `differs_on` holds keys, in the table's order."""

    variant: str
    agreeing: int
    differing: int
    unknown: int
    differs_on: tuple[str, ...]

    @property
    def may_be_the_same(self) -> bool:
        return self.differing == 0 and self.agreeing > 0


def nearest(table: Table, states: Mapping[str, str], k: int = 5) -> list[Near]:
    """The k variants that differ least from states given by trait key; of these, those that agree most.

    Shapes: at most k, and no more than there are variants; equals stay in the table's order.
    Errors: ValueError where a trait or state is not the table's, or k is below 1.
    Cost:   linear in variants times given traits.

    No states given leaves every variant equally near.

    >>> from registry.methods.identify import Trait
    >>> wheels = Trait("wheels", ("gold", "silver"))
    >>> known = Table.of([wheels], {"a": {"wheels": "gold"}, "b": {"wheels": "silver"}})
    >>> nearest(known, {"wheels": "silver"}, 1)[0].variant
    'b'
    """
    if k < 1:
        raise ValueError(f"ask for at least one variant, got {k}")
    given = sorted((table.position(key), state) for key, state in states.items())
    wanted = [(number, table.traits[number].index_of(state)) for number, state in given]
    agreeing = np.zeros(len(table.variants), dtype=np.int32)
    differing = np.zeros(len(table.variants), dtype=np.int32)
    for number, state in wanted:
        column = table.cells[:, number]
        agreeing += column == state
        differing += (column != state) & (column != UNKNOWN)
    # One number orders both: fewest differences first, then most agreements.
    distance = differing.astype(np.int64) * (len(wanted) + 1) - agreeing
    return [
        Near(
            variant=table.variants[row],
            agreeing=int(agreeing[row]),
            differing=int(differing[row]),
            unknown=len(wanted) - int(agreeing[row]) - int(differing[row]),
            differs_on=tuple(
                table.traits[number].key
                for number, state in wanted
                if table.cells[row, number] not in (state, UNKNOWN)
            ),
        )
        for row in _smallest(distance, k)
    ]


def _smallest(distance: np.ndarray[tuple[int, ...], np.dtype[np.int64]], k: int) -> list[int]:
    """Rows of the k smallest, equals in their own order."""
    rows = np.arange(len(distance))
    if len(distance) > k:
        rows = np.flatnonzero(distance <= np.partition(distance, k - 1)[k - 1])
    return [int(row) for row in rows[np.argsort(distance[rows], kind="stable")[:k]]]
