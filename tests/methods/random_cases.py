"""Simulated cases whose true shares are known, the same for the same seed."""

from collections.abc import Sequence

import numpy as np

from registry.methods.abundance import Abundance, Count, Line

VARIANTS = "abcdefgh"


def case_of(id: str, items: Sequence[int]) -> Count:
    lines = tuple(Line(int(n), (variant,)) for variant, n in zip(VARIANTS, items, strict=False) if n)
    return Count(id, "case", lines, full=True)


def random_cases(
    rng: np.random.Generator, shares: Sequence[float], sizes: Sequence[int], alike: float
) -> list[Count]:
    """Cases whose items are correlated by `alike`: 0 not at all (multinomial), 1 all of one variant.

    In between Dirichlet-multinomial: each case has shares of its own, scattered about the true ones.
    """
    cases = []
    for number, size in enumerate(sizes):
        if alike == 1:
            own = np.eye(len(shares))[rng.choice(len(shares), p=shares)]
        elif alike:
            own = rng.dirichlet(np.array(shares) * (1 - alike) / alike)
        else:
            own = np.array(shares)
        cases.append(case_of(str(number), rng.multinomial(size, own)))
    return cases


def all_held(answer: Abundance, shares: Sequence[float]) -> bool:
    """Whether every interval holds its true share. A variant never counted has no interval to be wrong."""
    intervals = {share.variant: (share.low, share.high) for share in answer.shares if share.low is not None}
    return all(
        low <= share <= high
        for variant, share in zip(VARIANTS, shares, strict=False)
        for low, high in [intervals.get(variant, (0, 1))]
    )
