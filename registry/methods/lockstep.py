"""Members whose votes fall on the same targets at nearly the same time far more often than chance would have it.

It finds what deserves a person's look, never proof: two honest reviewers who sit down together look the same.

Model of chance: two members who both vote on a target do so within WINDOW of each other with one probability p,
independently for each target they share. p is kept pessimistic: the chance that two votes fall on one day, taken
from the votes themselves, times the chance that they are then close if a day's voting is squeezed into EVENING.
The number of close ones among n shared targets is then at most binomial(n, p), and a pair stands out where the upper
tail is below LEVEL divided by the number of all pairs (Bonferroni 1936, after Dunn 1961: the chance that any pair of
honest members stands out is at most LEVEL, whatever the dependence between pairs). Source: from memory.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from math import comb, fsum

import numpy as np

WINDOW = 600
"""Seconds: votes on one target this near to each other are close."""
EVENING = 7200
"""Seconds: the least time that an honest day's voting is spread over."""
DAY = 86_400
LEVEL = 0.01
LEAST_CLOSE = 8
"""Fewer close votes than this say nothing, however unlikely they are."""
LEAST_CLOSE_FROM_ONE_ADDRESS = 4
"""A shared address prefix is a weak sign: it halves what is needed, and is nothing by itself."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two members in step: on how many targets both voted, on how many of these closely, how unlikely that is."""

    first: int
    second: int
    shared: int
    close: int
    chance: float
    targets: tuple[int, ...]
    one_address: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Members who are in step with each other, directly or through others of the group."""

    members: tuple[int, ...]
    pairs: tuple[Pair, ...]

    @property
    def targets(self) -> tuple[int, ...]:
        return tuple(sorted({target for pair in self.pairs for target in pair.targets}))


def groups_in_step(
    votes: Iterable[tuple[int, int, float]],
    one_address: Collection[frozenset[int]] = frozenset(),
) -> list[Group]:
    """Groups of members in lockstep, by their smallest member.

    Shapes: votes are (member, target, seconds), at most one for each member and target; `one_address` holds pairs of
    members seen from one address prefix.
    """
    table = np.array(sorted(set(votes), key=lambda vote: (vote[1], vote[2], vote[0])), dtype=np.float64)
    if len(table) < 2:
        return []
    members, targets, times = table[:, 0].astype(np.int64), table[:, 1].astype(np.int64), table[:, 2]
    level = LEVEL / comb(max(2, len(np.unique(members))), 2)
    p = closeness(times)
    near = close_targets(members, targets, times)
    voted: dict[int, set[int]] = defaultdict(set)
    for member, target in zip(members.tolist(), targets.tolist(), strict=True):
        voted[member].add(target)
    found = []
    for (first, second), met in sorted(near.items()):
        has_one_address = frozenset((first, second)) in one_address
        if len(met) < (LEAST_CLOSE_FROM_ONE_ADDRESS if has_one_address else LEAST_CLOSE):
            continue
        shared = len(voted[first] & voted[second])
        chance = binomial_tail(len(met), shared, p)
        if chance <= level:
            found.append(Pair(first, second, shared, len(met), chance, tuple(sorted(met)), has_one_address))
    return connected(found)


def closeness(times: np.ndarray) -> float:
    """The chance that two honest votes are close: that they share a day, and then that they are near in it."""
    per_day = np.array(list(Counter((times // DAY).astype(np.int64).tolist()).values()), dtype=np.float64)
    same_day = float(np.sum((per_day / len(times)) ** 2))
    return same_day * 2 * WINDOW / EVENING


def close_targets(
    members: np.ndarray, targets: np.ndarray, times: np.ndarray
) -> dict[tuple[int, int], set[int]]:
    """For each pair of members, the targets on which they voted within WINDOW. Rows sorted by target, then time."""
    near: dict[tuple[int, int], set[int]] = defaultdict(set)
    for lag in range(1, len(members)):
        is_close = (targets[lag:] == targets[:-lag]) & (times[lag:] - times[:-lag] <= WINDOW)
        if not is_close.any():
            break
        for at in np.flatnonzero(is_close):
            one, other = int(members[at]), int(members[at + lag])
            if one != other:
                near[min(one, other), max(one, other)].add(int(targets[at]))
    return near


def binomial_tail(least: int, n: int, p: float) -> float:
    """Probability of at least so many successes in n trials of chance p, 0 to 1."""
    if least <= 0:
        return 1.0
    return fsum(comb(n, k) * p**k * (1 - p) ** (n - k) for k in range(least, n + 1))


def connected(pairs: Iterable[Pair]) -> list[Group]:
    """The pairs gathered into groups that hang together."""
    leader: dict[int, int] = {}

    def led_by(member: int) -> int:
        while leader.setdefault(member, member) != member:
            member = leader[member]
        return member

    listed = list(pairs)
    for pair in listed:
        low, high = sorted((led_by(pair.first), led_by(pair.second)))
        leader[high] = low
    gathered: dict[int, list[Pair]] = defaultdict(list)
    for pair in listed:
        gathered[led_by(pair.first)].append(pair)
    return [
        Group(tuple(sorted({member for pair in of for member in (pair.first, pair.second)})), tuple(of))
        for _, of in sorted(gathered.items())
    ]
