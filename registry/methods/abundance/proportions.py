"""Intervals for one proportion, and the bound when nothing was seen. Counts may be fractions of an example."""

from dataclasses import dataclass
from math import sqrt

Interval = tuple[float, float]


def wilson(seen: float, of: float, level: float = 0.95) -> Interval:
    """Wilson's score interval, without continuity correction.

    Units:  a count out of a positive number; both ends between 0 and 1.
    Errors: ValueError where the count is not between 0 and the number, or the level not between 0 and 1.
    Source: Wilson 1927; method 3 of Newcombe 1998, Statistics in Medicine 17, 857-872.

    >>> [round(end, 4) for end in wilson(81, 263)]
    [0.2553, 0.3662]
    """
    from scipy.special import ndtri

    _check(seen, of, level)
    if of == 0:
        return 0.0, 1.0
    z = float(ndtri((1 + level) / 2))
    centre = (seen + z * z / 2) / (of + z * z)
    half = z * sqrt(seen * (of - seen) / of + z * z / 4) / (of + z * z)
    return max(0.0, centre - half) if seen else 0.0, min(1.0, centre + half) if seen < of else 1.0


def clopper_pearson(seen: float, of: float, level: float = 0.95) -> Interval:
    """The exact interval of Clopper and Pearson: it covers at least as often as it says.

    Units, errors: as `wilson`. Source: Clopper and Pearson 1934; method 5 of Newcombe 1998. A fractional count is
    that of an effective sample, after Korn and Graubard 1998, Survey Methodology 24, 193-201 (named from memory).

    >>> [round(end, 4) for end in clopper_pearson(81, 263)]
    [0.2527, 0.3676]
    """
    from scipy.special import betaincinv

    _check(seen, of, level)
    tail = (1 - level) / 2
    low = float(betaincinv(seen, of - seen + 1, tail)) if seen > 0 else 0.0
    high = float(betaincinv(seen + 1, of - seen, 1 - tail)) if seen < of else 1.0
    return low, high


def jeffreys(seen: float, of: float, level: float = 0.95) -> Interval:
    """The equal-tailed interval under the Jeffreys prior, its end set to 0 or 1 where none or all were seen.

    Units, errors: as `wilson`. Source: Brown, Cai and DasGupta 2001, Statistical Science 16, 101-133.

    >>> [round(end, 4) for end in jeffreys(1, 10)]
    [0.011, 0.3813]
    """
    _check(seen, of, level)
    low, high = beta_interval(seen + 0.5, of - seen + 0.5, level)
    return low if seen > 0 else 0.0, high if seen < of else 1.0


def beta_interval(a: float, b: float, level: float) -> Interval:
    """Equal-tailed interval of a beta distribution; a and b positive."""
    from scipy.special import betaincinv

    tail = (1 - level) / 2
    return float(betaincinv(a, b, tail)), float(betaincinv(a, b, 1 - tail))


def none_seen(of: float, level: float = 0.95) -> float:
    """The largest share that a thing may have of which none was seen; about 3 / of at the level 0.95.

    Units:  share, 0 to 1; 1 where nothing was looked at. Errors: as `wilson`.
    Source: the rule of three; Hanley and Lippman-Hand 1983, JAMA 249, 1743-1745. This is its exact form.

    >>> round(none_seen(100), 6)
    0.029513
    """
    _check(0, of, level)
    return 1.0 if of == 0 else float(1 - (1 - level) ** (1 / of))


@dataclass(frozen=True, slots=True)
class Absence:
    """No difference among so many examples from so many cases, and what that leaves room for.

    `share` bounds an unseen variant that is mixed into every case; `cases_share` bounds in how many cases one may
    lie that fills the cases it comes in. The truth is between, since items of one case share a run.
    """

    examples: int
    cases: int
    share: float
    cases_share: float


def absence(examples: int, cases: int, level: float = 0.95) -> Absence:
    """What "n examples from m cases compared, no difference seen" says, for the traits that could be seen.

    Errors: ValueError where there are fewer examples than cases, or no case.
    """
    if not 1 <= cases <= examples:
        raise ValueError(f"at least one case, and no more cases than examples: got {examples} from {cases}")
    return Absence(examples, cases, none_seen(examples, level), none_seen(cases, level))


def _check(seen: float, of: float, level: float) -> None:
    if not 0 < level < 1:
        raise ValueError(f"the level must lie between 0 and 1, got {level}")
    if not 0 <= seen <= of:
        raise ValueError(f"the count must lie between 0 and the number looked at, got {seen} of {of}")
