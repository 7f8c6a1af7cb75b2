"""Which states of a trait are taken for which, counted from votes that name the state they saw."""

import numpy as np
from numpy.typing import NDArray


def confusions(
    claimed: NDArray[np.integer],
    seen: NDArray[np.integer],
    states: int,
    *,
    true: NDArray[np.float64] | None = None,
    accuracy: float = 0.85,
    strength: float = 8.0,
) -> NDArray[np.float64]:
    """Of items whose state is that of the row, the share that reviewers see as each column: one trait's matrix.

    Shapes: n votes give states x states; every row adds up to 1. A vote that confirms saw what was claimed.
    Units:  states are numbered from 0; `true` is the probability, per vote, that the claim voted on is true, and so
            that the row really is the item's state: a vote counts by that much (fully where `true` is not given).
    Errors: ValueError where lengths differ, a state is out of range, or a probability is none.
    Source: expected counts of the E-step of Dawid and Skene 1979, smoothed by `strength` imagined votes per row of
            which the share `accuracy` saw the right state and the rest were spread over the others evenly.

    >>> confusions(np.array([0, 0, 1]), np.array([0, 1, 1]), 2, accuracy=0.75, strength=4.0).tolist()
    [[0.6666666666666666, 0.3333333333333333], [0.2, 0.8]]
    """
    if states < 1 or not (0 < accuracy < 1 and strength > 0):
        raise ValueError("states must be at least 1, accuracy between 0 and 1, strength above 0")
    if claimed.shape != seen.shape or (true is not None and true.shape != seen.shape):
        raise ValueError("claimed, seen and true must have one row per vote")
    for name, column in (("claimed", claimed), ("seen", seen)):
        if column.size and not (column.min() >= 0 and column.max() < states):
            raise ValueError(f"{name} must lie between 0 and {states - 1}")
    if true is not None and true.size and not (true.min() >= 0 and true.max() <= 1):
        raise ValueError("true must hold probabilities")
    pair = claimed.astype(np.int64) * states + seen
    counts = np.bincount(pair, weights=true, minlength=states * states).reshape(states, states)
    return _smoothed(counts.astype(np.float64), accuracy, strength)


def _smoothed(counts: NDArray[np.float64], accuracy: float, strength: float) -> NDArray[np.float64]:
    states = len(counts)
    if states == 1:
        return np.ones((1, 1))
    imagined = np.full((states, states), strength * (1 - accuracy) / (states - 1))
    np.fill_diagonal(imagined, strength * accuracy)
    total = counts + imagined
    shares: NDArray[np.float64] = total / total.sum(axis=1, keepdims=True)
    return shares
