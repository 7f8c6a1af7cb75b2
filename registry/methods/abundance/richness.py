"""Is that all of them? How much of the release the sample covers, and how many kinds it has not met."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log, sqrt


@dataclass(frozen=True, slots=True)
class Richness:
    """Kinds met, kinds estimated in all with an interval, and the share of the release that the met ones make."""

    met: int
    estimate: float
    low: float
    high: float
    coverage: float


def richness(frequencies: Iterable[int], level: float = 0.95) -> Richness:
    """Kinds in all, from how often each kind was met (in examples, or in how many cases).

    Shapes: one whole number per kind; zeros are kinds not met, and are passed over.
    Units:  kinds; coverage 0 to 1, and 0 where nothing was met.
    Errors: ValueError where a frequency is negative or the level not between 0 and 1.
    Source: Chao 1984 in the bias-corrected form, S + f1 (f1 - 1) / (2 (f2 + 1)): a lower bound in expectation,
            and where many kinds are scarce beside common ones both it and its interval are too low. Variance and
            log-normal interval after Chao 1987, Biometrics 43, 783-791 (named from memory; the figures are
            checked against a library); its lower end lies above the number met even where all were met.
            Coverage after Good 1953: 1 - f1 / n.

    >>> richness([10, 4, 2, 1, 1, 1]).estimate
    7.5
    """
    from scipy.special import ndtri

    met = [int(times) for times in frequencies if times]
    if any(times < 0 for times in met):
        raise ValueError(f"no kind is met less than no times, got {min(met)}")
    if not 0 < level < 1:
        raise ValueError(f"the level must lie between 0 and 1, got {level}")
    once, twice, kinds, total = met.count(1), met.count(2), len(met), sum(met)
    if not kinds:
        return Richness(0, 0.0, 0.0, float("inf"), 0.0)
    estimate = kinds + once * (once - 1) / (2 * (twice + 1))
    low, high = _interval(kinds, total, once, twice, float(ndtri((1 + level) / 2)))
    return Richness(kinds, estimate, low, high, 1 - once / total)


def _interval(kinds: int, total: int, once: int, twice: int, z: float) -> tuple[float, float]:
    unmet = once * (once - 1) / (2 * (twice + 1))
    if unmet > 0:
        spread = (
            unmet
            + once * (2 * once - 1) ** 2 / (4 * (twice + 1) ** 2)
            + once**2 * twice * (once - 1) ** 2 / (4 * (twice + 1) ** 4)
            - (0 if twice else once**4 / (4 * (kinds + unmet)))
        )
        ratio = exp(z * sqrt(log(1 + spread / unmet**2)))
        return kinds + unmet / ratio, kinds + unmet * ratio
    missed = exp(-total / kinds)  # the chance of missing a kind, were all equally common
    centre, half = kinds / (1 - missed), z * sqrt(kinds * missed * (1 - missed)) / (1 - missed)
    return max(float(kinds), centre - half), centre + half
