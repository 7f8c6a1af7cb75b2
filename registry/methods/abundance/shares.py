"""How common each variant is within its release: shares with intervals that hold together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .counts import Cluster, weight
from .proportions import Interval, beta_interval, clopper_pearson

Array = NDArray[np.float64]

TOLERANCE = 1e-10
STEPS = 10_000  # of EM at most
ODD_BY_CASE = 1.0


@dataclass(frozen=True)
class Tally:
    """Full counts as arrays over clusters and kinds; every item weighed as `counts.weight` says.

    `told` is clusters x kinds, items whose kind was told; `either` is lines x kinds, which kinds a line of "one
    of these" allows, with the line's weighted items in `items` and its cluster in `of`.
    """

    told: Array
    either: NDArray[np.bool_]
    items: Array
    of: NDArray[np.intp]
    cases: Array
    examples: float  # told items, as many equally weighed ones as say as much (Kish)

    @classmethod
    def of_clusters(cls, clusters: Sequence[Cluster], kinds: Sequence[str]) -> "Tally":
        place = {kind: column for column, kind in enumerate(kinds)}
        told = np.zeros((len(clusters), len(kinds)))
        lines: list[tuple[int, float, list[int]]] = []
        weighed = squared = 0.0
        for row, cluster in enumerate(clusters):
            for count in cluster.counts:
                each = weight(count)
                for line in count.lines:
                    columns = [place[variant] for variant in line.variants or ("",)]
                    if len(columns) == 1:
                        told[row, columns[0]] += each * line.n
                        weighed, squared = weighed + each * line.n, squared + each * each * line.n
                    else:
                        lines.append((row, each * line.n, columns))
        either = np.zeros((len(lines), len(kinds)), dtype=bool)
        for index, (_, _, columns) in enumerate(lines):
            either[index, columns] = True
        return cls(
            told=told,
            either=either,
            items=np.array([items for _, items, _ in lines]),
            of=np.array([row for row, _, _ in lines], dtype=np.intp),
            cases=np.array([float(cluster.cases) for cluster in clusters]),
            examples=weighed**2 / squared if squared else 0.0,
        )


def share_out(tally: Tally) -> tuple[Array, Array]:
    """Shares of the kinds, and clusters x kinds items with "one of these" shared out in proportion.

    EM for a mixture of known candidates: its likelihood has no false summits, and starting from equal shares
    leaves alike what nothing tells apart. Source: Dempster, Laird and Rubin 1977.
    """
    settled = tally.told.sum(axis=0)
    shares = np.full(len(settled), 1 / len(settled))
    parts = np.zeros(tally.either.shape)
    for _ in range(STEPS if len(tally.items) else 1):
        if len(tally.items):
            parts = tally.either * shares
            parts *= (tally.items / parts.sum(axis=1))[:, None]
        together = settled + parts.sum(axis=0)
        earlier, shares = shares, together / together.sum()
        if np.abs(shares - earlier).max() < TOLERANCE:
            break
    items = tally.told.copy()
    np.add.at(items, tally.of, parts)
    return shares, items


def effective_examples(tally: Tally, shares: Array, items: Array, level: float) -> tuple[Array, float]:
    """How many independent examples say as much: for each kind, and for all pooled.

    How far items of one cluster are alike (their intraclass correlation) is taken from the scatter between
    clusters, of the kind by itself and of all kinds together, whichever is more; ODD_BY_CASE odd items that came
    by whole cases are supposed beforehand, so that a count without any odd item proves nothing by its size. Student's
    t allows for few clusters. Never more than the examples told apart; never fewer than the cases, which is what
    they come to where each case is of one kind.
    Source: design effect after Kish 1965; degrees of freedom after Korn and Graubard 1998 (named from memory).
    """
    from scipy.special import ndtri, stdtrit

    sizes = items.sum(axis=1)
    fewest = min(tally.examples, sizes.sum() ** 2 / (sizes**2 / tally.cases).sum())
    run = tally.examples / fewest - 1 if fewest else 0.0
    if len(sizes) < 2 or run <= 0:
        return np.full(len(shares), fewest), float(fewest)
    scatter = ((items - sizes[:, None] * shares) ** 2).sum(axis=0) / sizes.sum() ** 2
    scatter *= len(sizes) / (len(sizes) - 1)
    chance = shares * (1 - shares) / tally.examples
    with np.errstate(divide="ignore", invalid="ignore"):
        own = (scatter / chance - 1) / run
        pooled = (scatter.sum() / chance.sum() - 1) / run
    odd = tally.examples**2 * chance.sum()
    alike = np.clip(np.nan_to_num([*np.fmax(own, pooled), pooled]), 0, 1)
    alike = (ODD_BY_CASE + odd * alike) / (ODD_BY_CASE + odd)
    few = (ndtri((1 + level) / 2) / stdtrit(len(sizes) - 1, (1 + level) / 2)) ** 2
    examples = np.clip(few * tally.examples / (1 + run * alike), fewest, tally.examples)
    return examples[:-1], float(examples[-1])


def interval_level(kinds: int, level: float) -> float:
    """The level of each interval so that all hold at once (Bonferroni). Of two kinds one decides the other."""
    return 1 - (1 - level) / (kinds if kinds > 2 else 1)


def intervals(
    shares: Array, examples: Array, pooled: float, prior: Mapping[int, float], level: float
) -> tuple[Array, list[Interval]]:
    """Estimates and simultaneous intervals.

    Without a prior: Clopper and Pearson on effective examples. With one (pseudo-counts per kind, as from the
    case counts of an assortment): mean and equal tails of the Dirichlet posterior.
    """
    each = interval_level(len(shares), level)
    if not prior:
        pairs = zip(shares.tolist(), examples.tolist(), strict=True)
        return shares, [clopper_pearson(min(share * n, n), n, each) for share, n in pairs]
    pseudo = np.array([prior.get(kind, 0.0) for kind in range(len(shares))])
    ahead = pseudo + shares * examples
    behind = pseudo.sum() - pseudo + (1 - shares) * examples
    estimate = (pseudo + shares * pooled) / (pseudo.sum() + pooled)
    tiny = np.finfo(float).tiny
    ends = [beta_interval(max(a, tiny), max(b, tiny), each) for a, b in zip(ahead, behind, strict=True)]
    return estimate, ends
