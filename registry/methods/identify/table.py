"""What is known of a set of variants, as one array of small numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from math import isfinite
from typing import Any

import numpy as np
from numpy.typing import NDArray

UNKNOWN = -1

Cells = NDArray[np.signedinteger[Any]]


class Need(StrEnum):
    """What must be at hand to inspect a trait."""

    PACK = "pack"
    LOOSE = "loose"
    RAKING_LIGHT = "raking_light"
    MAGNIFIER = "magnifier"
    BASE_VISIBLE = "base_visible"


EVERYTHING = frozenset(Need)


@dataclass(frozen=True)
class Trait:
    """One feature that can be inspected, and its states in a fixed order.

    `states` are keys, unique within the trait; `state_names` what pages say (the keys where left out).
    `needs` is what must be at hand; a trait that does not need the item loose is seen in its pack.
    `effort` is any positive number, such as seconds; only ratios count.
    `numbers` and `tolerances`, where given, have one entry per state, in the trait's own unit; None where a
    state has no reference number.
    Errors: ValueError naming the trait and what is wrong with it.
    """

    key: str
    states: tuple[str, ...]
    name: str = ""
    state_names: tuple[str, ...] = ()
    needs: frozenset[Need] = frozenset()
    effort: float = 1.0
    kind: str = ""
    numbers: tuple[float | None, ...] = ()
    tolerances: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not self.states:
            raise ValueError(f"trait {self.key} has no states")
        if len(set(self.states)) < len(self.states):
            raise ValueError(f"trait {self.key} names a state twice")
        if not (isfinite(self.effort) and self.effort > 0):
            raise ValueError(f"the effort of trait {self.key} must be a positive number, got {self.effort}")
        for what in ("state_names", "numbers", "tolerances"):
            if len(getattr(self, what)) not in (0, len(self.states)):
                raise ValueError(f"trait {self.key} must have as many {what} as states, or none")
        if self.tolerances and not self.numbers:
            raise ValueError(f"trait {self.key} has tolerances but no numbers")
        if any(not (isfinite(t) and t >= 0) for t in self.tolerances):
            raise ValueError(f"the tolerances of trait {self.key} must not be negative")
        if any(number is not None and not isfinite(number) for number in self.numbers):
            raise ValueError(f"the numbers of trait {self.key} must be finite")

    @property
    def seen_in_pack(self) -> bool:
        return Need.LOOSE not in self.needs

    @property
    def label(self) -> str:
        return self.name or self.key

    def state_label(self, index: int) -> str:
        return (self.state_names or self.states)[index]

    def index_of(self, state: str) -> int:
        """Errors: ValueError where the state is none of this trait's, naming those that are."""
        try:
            return self.states.index(state)
        except ValueError:
            known = ", ".join(self.states)
            raise ValueError(f"{state!r} is no state of trait {self.key}; its states are {known}") from None


@dataclass(frozen=True, eq=False)
class Table:
    """V variants by T traits.

    Shapes: `cells` is V x T; a cell is the index of a state of its trait, or -1 where it is not known. It is
            kept in the smallest signed integers that hold the states, one trait after the other in memory,
            and cannot be written to.
    Errors: ValueError where the shape does not fit, a key comes twice, or a cell is no state of its trait.
    """

    variants: Sequence[str]
    traits: tuple[Trait, ...]
    cells: Cells = field(repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "traits", tuple(self.traits))
        shape = (len(self.variants), len(self.traits))
        cells = np.asarray(self.cells)
        if cells.size == 0:
            cells = np.zeros(shape, dtype=np.int8) if 0 in shape else cells
        if cells.shape != shape:
            raise ValueError(f"{shape[0]} variants by {shape[1]} traits do not fit cells of {cells.shape}")
        if not np.issubdtype(cells.dtype, np.integer):
            raise ValueError("cells must be whole numbers")
        if len(self._positions) < len(self.traits):
            raise ValueError("two traits have the same key")
        if len(set(self.variants)) < len(self.variants):
            raise ValueError("two variants have the same key")
        for trait, column in zip(self.traits, cells.T, strict=True):
            if column.size and not (UNKNOWN <= column.min() and column.max() < len(trait.states)):
                raise ValueError(f"a cell of trait {trait.key} is neither -1 nor one of its states")
        object.__setattr__(self, "cells", _compact(cells, self.traits))

    @classmethod
    def of(cls, traits: Iterable[Trait], variants: Mapping[str, Mapping[str, str]]) -> Table:
        """A table from states by variant and trait; what is not named is not known.

        >>> wheels = Trait("wheels", ("gold", "silver"))
        >>> Table.of([wheels], {"a": {"wheels": "silver"}, "b": {}}).cells.tolist()
        [[1], [-1]]
        """
        traits = tuple(traits)
        known = {trait.key: (number, trait) for number, trait in enumerate(traits)}
        cells = np.full((len(variants), len(traits)), UNKNOWN, dtype=np.int32)
        for row, states in enumerate(variants.values()):
            for key, state in states.items():
                if key not in known:
                    raise ValueError(f"{key!r} is no trait of this table")
                number, trait = known[key]
                cells[row, number] = trait.index_of(state)
        return cls(tuple(variants), traits, cells)

    @cached_property
    def _positions(self) -> dict[str, int]:
        return {trait.key: number for number, trait in enumerate(self.traits)}

    def position(self, trait: str) -> int:
        """Errors: ValueError where the table has no such trait."""
        if trait not in self._positions:
            raise ValueError(f"{trait!r} is no trait of this table")
        return self._positions[trait]

    def row(self, variant: str) -> int:
        """Errors: ValueError where the table has no such variant."""
        try:
            return self.variants.index(variant)
        except ValueError:
            raise ValueError(f"{variant!r} is no variant of this table") from None


def _compact(cells: NDArray[Any], traits: Sequence[Trait]) -> Cells:
    most = max((len(trait.states) for trait in traits), default=0)
    # One number is kept free above the largest state, so that adding one never overflows.
    size = np.int8 if most < 127 else np.int16 if most < 32767 else np.int32
    compact: Cells = np.array(cells, dtype=size, order="F")
    compact.setflags(write=False)
    return compact
