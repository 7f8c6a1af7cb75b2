"""For each pair of variants, the traits that tell them apart, as bits of one whole number.

A trait tells a pair apart where both states are known and differ; an unknown one never does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.methods.identify.table import UNKNOWN, Table

Bits = NDArray[np.uint64]
WORD = 64
DROPPING = 500  # the smallest sets, tried for whether others hold them


@dataclass(frozen=True, slots=True)
class Pair:
    """Two variants that the allowed traits do not tell apart.

    `unknown`: traits that might tell, were the state known on both. `excluded`: traits that do tell them apart,
    but are not allowed here. Both empty: they are the same in every trait.
    """

    first: str
    second: str
    unknown: tuple[str, ...]
    excluded: tuple[str, ...]


def pairs_of(table: Table, one: int | None) -> Iterator[tuple[int, NDArray[np.intp]]]:
    """Every pair once, as a row and the rows that it is paired with; `one`: only its own pairs."""
    everyone = np.arange(len(table.variants))
    if one is not None:
        yield one, everyone[everyone != one]
        return
    for row in everyone[:-1]:
        yield int(row), everyone[row + 1 :]


def telling(table: Table, row: int, others: NDArray[np.intp]) -> Bits:
    """Which traits tell a row from each of n others: n x W words, bit t of the T traits in word t // 64."""
    mine, theirs = table.cells[row], table.cells[others]
    return packed((theirs != mine) & (theirs != UNKNOWN) & (mine != UNKNOWN))


def packed(flags: NDArray[np.bool_]) -> Bits:
    """n x T flags as n x W words."""
    words = max(-(-flags.shape[1] // WORD), 1)
    padded = np.zeros((len(flags), words * WORD), dtype=np.bool_)
    padded[:, : flags.shape[1]] = flags
    bits: Bits = np.packbits(padded, axis=1, bitorder="little").view("<u8").astype(np.uint64)
    return bits


def as_numbers(bits: Bits) -> list[int]:
    """Each row of words as one whole number of any length."""
    return [sum(int(word) << (WORD * place) for place, word in enumerate(row)) for row in bits]


def smallest_sets(bits: Bits) -> Bits:
    """The rows, each once, without those that hold all of a smaller row: who meets that one meets them too.

    Only the smallest rows are tried for this: what is dropped saves work, and nothing depends on it.
    """
    bits = np.unique(bits, axis=0)
    sizes = np.bitwise_count(bits).sum(axis=1)
    left = bits[np.argsort(sizes, kind="stable")]
    kept: list[Bits] = []
    while len(left) and len(kept) < DROPPING:
        smallest, left = left[0], left[1:]
        kept.append(smallest)
        left = left[((left & smallest) != smallest).any(axis=1)]
    return np.concatenate([np.array(kept, dtype=np.uint64).reshape(len(kept), bits.shape[1]), left])


def describe(table: Table, first: int, second: int, allowed: int) -> Pair:
    one, two = table.cells[first], table.cells[second]
    unknown = (one == UNKNOWN) | (two == UNKNOWN)
    differ = (one != two) & ~unknown
    return Pair(
        first=table.variants[first],
        second=table.variants[second],
        unknown=tuple(table.traits[t].key for t in np.flatnonzero(unknown)),
        excluded=tuple(table.traits[t].key for t in np.flatnonzero(differ) if not allowed >> int(t) & 1),
    )
