"""Shares in plain words: "about 1 in 12; between 1 in 30 and 1 in 6; from 140 examples in 9 cases"."""

from collections.abc import Mapping
from math import ceil, floor, log10
from typing import Literal

from .proportions import Absence
from .richness import Richness

_UNITS = {
    "case": ("case", "cases"),
    "peg": ("peg", "pegs"),
    "collection": ("collection", "collections"),
    "sealed_pack": ("sealed pack", "sealed packs"),
    "item": ("single item", "single items"),
}
_NEARLY_ALL = 0.95
_IN_TENTHS = 0.3
_NEXT_TO_NONE = 1e-4  # where the chart's scale ends
_SLIP = 1e-9  # of the last bit

Way = Literal["down", "near", "up"]


def about(share: float) -> str:
    """The estimate.

    >>> [about(0.083), about(0.5), about(0.97)]
    ['about 1 in 12', 'about 5 in 10', 'nearly all']
    """
    if share >= _NEARLY_ALL:
        return "nearly all"
    if share < _NEXT_TO_NONE:
        return "next to none"
    return f"about {_fraction(share, 'near')}"


def between(low: float, high: float) -> str:
    """The interval, rounded outwards.

    >>> [between(1 / 30, 1 / 6), between(0, 0.02), between(0.4, 1), between(0, 1)]
    ['between 1 in 30 and 1 in 6', 'at most 1 in 50', 'at least 4 in 10', 'anything from none to all']
    """
    none, all_ = low <= 0, high >= _NEARLY_ALL
    if none:
        return "anything from none to all" if all_ else f"at most {_fraction(high, 'up')}"
    if all_:
        return f"at least {_fraction(low, 'down')}"
    return f"between {_fraction(low, 'down')} and {_fraction(high, 'up')}"


def number(n: int, one: str, more: str) -> str:
    return f"{n:,} {one if n == 1 else more}"


def whence(examples: int, units: Mapping[str, int]) -> str:
    """What was counted, and in how many of what.

    >>> whence(140, {"case": 9, "peg": 1})
    'from 140 examples in 9 cases and 1 peg'
    """
    named = [number(n, *_UNITS[scope]) for scope, n in units.items() if n]
    where = " and ".join([", ".join(named[:-1]), named[-1]] if len(named) > 1 else named)
    return f"from {number(examples, 'example', 'examples')}" + (f" in {where}" if where else "")


def absence_sentence(absence: Absence) -> str:
    compared = number(absence.examples, "example", "examples")
    cases = number(absence.cases, "case", "cases")
    mixed, by_case = between(0, absence.share), between(0, absence.cases_share)
    return (
        f"{compared} from {cases} compared, no difference seen: another variant, if there is one, makes up "
        f"{mixed} of the items where cases mix them, or {by_case} of the cases where they do not"
    )


def richness_sentence(richness: Richness) -> str:
    """Whether these are likely to be all of them."""
    if not richness.met:
        return "nothing counted yet"
    more = richness.high - richness.met
    met = number(richness.met, "kind", "kinds")
    if more < 0.5:
        return f"{met} met; probably all there are"
    likely = round(richness.estimate - richness.met)
    likely_words = "perhaps none more" if likely == 0 else f"about {likely} more likely"
    return f"{met} met; {likely_words}, and up to {ceil(more):,} more possible"


def _fraction(share: float, way: Way) -> str:
    """Tenths for the common, one in so many for the rest; `down` never says more than the share, `up` never less."""
    if share < _NEXT_TO_NONE:
        return "next to none" if way != "up" else f"1 in {round(1 / _NEXT_TO_NONE):,}"
    if share > _IN_TENTHS:
        tenths = {
            "down": floor(share * 10 + _SLIP),
            "near": round(share * 10),
            "up": ceil(share * 10 - _SLIP),
        }[way]
        return f"{tenths} in 10" if tenths < 10 else "nearly all"
    step = 10 ** max(0, floor(log10(1 / share) + _SLIP) - 1)
    steps = 1 / share / step
    many = {"down": ceil(steps - _SLIP), "near": round(steps), "up": floor(steps + _SLIP)}[way]
    return f"1 in {many * step:,}"
