"""The votes as a sparse matrix of claims by cells, made once and read in every round."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .ballots import KINDS, Ballots

_BASES = 2


@dataclass(frozen=True)
class Layout:
    """Where each vote lies.

    Shapes: K cells, those with a vote only, ordered by reviewer, basis and kind. Votes are counted in columns
            2 k (contradicts) and 2 k + 1 (confirms) of cell k, so arrays of counts reshape to (K, 2).
            M reviewers-on-a-basis, those with a vote only, in the same order.
    """

    reviewer: NDArray[np.int32]  # (K,)
    kind: NDArray[np.int8]  # (K,)
    basis: NDArray[np.int8]  # (K,) 0 by photo, 1 in hand
    owner: NDArray[np.int32]  # (K,) the cell's reviewer-on-a-basis, 0 to M - 1
    first: NDArray[np.int32]  # (M,) the first cell of each
    unknown: NDArray[np.int32]  # the claims whose answer is to be found
    votes: Any  # sparse, unknown claims x 2 K: how many votes of the column lie on the claim
    counts: NDArray[np.float64]  # (2 K,) votes on unknown claims
    known_true: NDArray[np.float64]  # (2 K,) votes on claims known to be true
    known_false: NDArray[np.float64]  # (2 K,) votes on claims known to be false

    @property
    def setting(self) -> NDArray[np.int32]:
        """Kind and basis of each cell as one number, 2 kind + basis."""
        return np.ravel_multi_index((self.kind, self.basis), (len(KINDS), _BASES)).astype(np.int32)


def lay_out(ballots: Ballots) -> Layout:
    """Sort the votes into cells. The order of the votes leaves no trace."""
    keys, column = _cells(ballots)
    seat, kind = np.divmod(keys, len(KINDS))
    _, first, owner = np.unique(seat, return_index=True, return_inverse=True)
    known = ballots.known if ballots.known is not None else np.full(ballots.claims, -1, np.int8)
    unknown = np.flatnonzero(known < 0).astype(np.int32)
    answer, width = known[ballots.claim], 2 * keys.size
    return Layout(
        reviewer=(seat // _BASES).astype(np.int32),
        kind=kind.astype(np.int8),
        basis=(seat % _BASES).astype(np.int8),
        owner=owner.astype(np.int32),
        first=first.astype(np.int32),
        unknown=unknown,
        votes=_matrix(ballots, known, unknown, column, width),
        counts=_count(column[answer < 0], width),
        known_true=_count(column[answer == 1], width),
        known_false=_count(column[answer == 0], width),
    )


def _cells(ballots: Ballots) -> tuple[NDArray[np.int64], NDArray[np.int32]]:
    """The cells that have votes, as (reviewer x bases + basis) x kinds + kind, and the column of each vote."""
    shape = (max(ballots.reviewers, 1), _BASES, len(KINDS))
    key = np.ravel_multi_index((ballots.reviewer, ballots.in_hand.astype(np.int8), ballots.kind), shape)
    seen = np.bincount(key, minlength=ballots.reviewers * _BASES * len(KINDS)) > 0
    number = np.cumsum(seen, dtype=np.int32) - np.int32(1)
    return np.flatnonzero(seen), number[key] * np.int32(2) + ballots.confirms


def _count(column: NDArray[np.int32], width: int) -> NDArray[np.float64]:
    return np.bincount(column, minlength=width).astype(np.float64)


def _matrix(
    ballots: Ballots,
    known: NDArray[np.int8],
    unknown: NDArray[np.int32],
    column: NDArray[np.int32],
    width: int,
) -> Any:
    from scipy.sparse import coo_array  # here, because only a refit needs it

    row = ballots.claim
    if unknown.size < known.size:
        kept = known[row] < 0
        row = (np.cumsum(known < 0, dtype=np.int32) - np.int32(1))[row[kept]]
        column = column[kept]
    return coo_array((np.ones(row.size), (row, column)), shape=(unknown.size, width)).tocsr()
