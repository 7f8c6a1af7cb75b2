"""Shares and unmet kinds beside statsmodels and scikit-bio: `python -m benchmarks.abundance`.

Needs requirements-oracle.txt.
"""

import warnings
from collections.abc import Callable
from time import process_time
from timeit import repeat

import numpy as np

from registry.methods.abundance import Count, Line, abundance, clopper_pearson, jeffreys, richness, wilson

VARIANTS = "abcdefgh"
SIMULATIONS = 4000


def seconds(run: Callable[[], object]) -> float:
    """Processor time, the best of five."""
    return min(repeat(run, timer=process_time, number=1, repeat=5))


def against_statsmodels(rng: np.random.Generator) -> None:
    from statsmodels.stats.proportion import proportion_confint

    of = rng.integers(1, 400, 500)
    pairs = [(int(rng.integers(1, n + 1)), int(n)) for n in of]
    pairs = [(seen, n) for seen, n in pairs if seen < n]
    for name, method, interval in (
        ("Wilson", "wilson", wilson),
        ("Clopper-Pearson", "beta", clopper_pearson),
        ("Jeffreys", "jeffreys", jeffreys),
    ):
        for seen, n in pairs:
            assert np.allclose(interval(seen, n), proportion_confint(seen, n, method=method), atol=1e-9)
        ours = seconds(lambda interval=interval: [interval(*pair) for pair in pairs])  # type: ignore[misc]
        theirs = seconds(lambda method=method: [proportion_confint(*pair, method=method) for pair in pairs])  # type: ignore[misc]
        print(
            f"{name}, {len(pairs)} intervals: {ours * 1e3:.1f} ms, statsmodels {theirs * 1e3:.1f} ms", end=" "
        )
        print(f"(x {theirs / ours:.1f}), same to 1e-9")


def against_scikit_bio(rng: np.random.Generator) -> None:
    from skbio.diversity.alpha import chao1, chao1_ci, goods_coverage

    samples = [rng.multinomial(60, rng.dirichlet(np.full(15, 0.7))) for _ in range(300)]
    for sample in samples:
        found = richness(sample)
        assert np.allclose([found.estimate, found.coverage], [chao1(sample), goods_coverage(sample)])
        if list(sample).count(1) != 1:  # scikit-bio then gives an interval without width
            assert np.allclose([found.low, found.high], chao1_ci(sample), rtol=1e-3)
    ours = seconds(lambda: [richness(sample) for sample in samples])
    theirs = seconds(lambda: [(chao1(s), chao1_ci(s), goods_coverage(s)) for s in samples])
    print(
        f"unmet kinds of {len(samples)} samples: {ours * 1e3:.1f} ms, scikit-bio {theirs * 1e3:.1f} ms",
        end=" ",
    )
    print(f"(x {theirs / ours:.1f}), same to 1e-3 (z 1.95996 against 1.96)")


def cases(rng: np.random.Generator, shares: list[float], sizes: list[int], alike: float) -> list[Count]:
    counts = []
    for number, size in enumerate(sizes):
        own = np.array(shares)
        if alike:
            own = rng.dirichlet(own * (1 - alike) / alike)
        lines = tuple(
            Line(int(n), (v,)) for v, n in zip(VARIANTS, rng.multinomial(size, own), strict=False) if n
        )
        counts.append(Count(str(number), "case", lines, full=True))
    return counts


def coverage(rng: np.random.Generator) -> None:
    """How often all intervals hold at once, here and where the clusters are passed over (Goodman, statsmodels)."""
    from statsmodels.stats.proportion import multinomial_proportions_confint

    for name, shares, sizes, alike in (
        ("independent", [0.5, 0.3, 0.15, 0.05], [15] * 10, 0.0),
        ("a little alike, 0.05", [0.5, 0.3, 0.15, 0.05], [15] * 10, 0.05),
        ("alike, 0.3", [0.5, 0.3, 0.15, 0.05], [15] * 10, 0.3),
        ("unequal cases, 0.3", [0.5, 0.3, 0.15, 0.05], [4, 8, 72, 12, 12, 36, 5, 9], 0.3),
        ("scarce ones, 0.2", [0.95, 0.04, 0.01], [16] * 9, 0.2),
        ("three cases, 0.1", [0.5, 0.3, 0.15, 0.05], [24] * 3, 0.1),
    ):
        held = unclustered = 0
        for _ in range(SIMULATIONS):
            counts = cases(rng, shares, sizes, alike)
            answer = abundance(counts, VARIANTS[: len(shares)])
            held += all(
                share.low is None or share.high is None or share.low <= truth <= share.high
                for share, truth in zip(answer.shares, shares, strict=True)
            )
            seen = np.array([share.examples for share in answer.shares])
            ends = multinomial_proportions_confint(seen, method="goodman")
            unclustered += bool(((ends[:, 0] <= shares) & (shares <= ends[:, 1])).all())
        print(f"{name}: all intervals hold in {100 * held / SIMULATIONS:.1f} %, without", end=" ")
        print(f"clusters {100 * unclustered / SIMULATIONS:.1f} % of {SIMULATIONS} simulations")


def one_release(rng: np.random.Generator) -> None:
    counts = cases(rng, [0.3, 0.2, 0.15, 0.12, 0.1, 0.07, 0.04, 0.02], [24] * 250, 0.1)
    either = [
        Count(f"e{n}", "peg", (Line(3, ("a", "b")), Line(2, ("b", "c"))), full=True) for n in range(250)
    ]
    print(f"8 variants in 250 cases: {seconds(lambda: abundance(counts, VARIANTS)) * 1e3:.1f} ms;", end=" ")
    both = seconds(lambda: abundance([*counts, *either], VARIANTS))
    print(f"with 500 lines of one of these: {both * 1e3:.1f} ms")
    same = (Line(6, ("a",)), Line(6, ("b",)))
    flood = [
        Count(str(n), "peg", same, full=True, by="keel", place="north coast", day=7) for n in range(10_000)
    ]
    print(
        f"10,000 identical counts from one account: {seconds(lambda: abundance(flood, VARIANTS)) * 1e3:.0f} ms"
    )


def main() -> None:
    warnings.simplefilter("ignore")  # of the libraries compared with, on sparse samples
    rng = np.random.default_rng(6)
    against_statsmodels(rng)
    against_scikit_bio(rng)
    one_release(rng)
    coverage(rng)


if __name__ == "__main__":
    main()
