"""Shares in plain words: "about 1 in 12; between 1 in 30 and 1 in 6; from 140 examples in 9 cases"."""

from collections.abc import Mapping
from math import ceil, floor, log10
from typing import Literal

from registry.sentences import Sentence, counted, in_thousands, listed

from .proportions import Absence
from .richness import Richness

_EXAMPLES = counted("%(many)s example", "%(many)s examples", 1, many="1")
_CASES = counted("%(many)s case", "%(many)s cases", 1, many="1")
_UNITS = {
    "case": _CASES,
    "peg": counted("%(many)s peg", "%(many)s pegs", 1, many="1"),
    "collection": counted("%(many)s collection", "%(many)s collections", 1, many="1"),
    "sealed_pack": counted("%(many)s sealed pack", "%(many)s sealed packs", 1, many="1"),
    "item": counted("%(many)s single item", "%(many)s single items", 1, many="1"),
}
_NEARLY_ALL = 0.95
_IN_TENTHS = 0.3
_NEXT_TO_NONE = 1e-4  # where the chart's scale ends
_SLIP = 1e-9  # of the last bit

Way = Literal["down", "near", "up"]


def about(share: float) -> Sentence:
    """The estimate.

    >>> [about(0.083), about(0.5), about(0.97)]
    ['about 1 in 12', 'about 5 in 10', 'nearly all']
    """
    if share >= _NEARLY_ALL:
        return Sentence("nearly all")
    if share < _NEXT_TO_NONE:
        return Sentence("next to none")
    return Sentence("about %(share)s", share=_fraction(share, "near"))


def between(low: float, high: float) -> Sentence:
    """The interval, rounded outwards.

    >>> [between(1 / 30, 1 / 6), between(0, 0.02), between(0.4, 1), between(0, 1)]
    ['between 1 in 30 and 1 in 6', 'at most 1 in 50', 'at least 4 in 10', 'anything from none to all']
    """
    none, all_ = low <= 0, high >= _NEARLY_ALL
    if none and all_:
        return Sentence("anything from none to all")
    if none:
        return Sentence("at most %(share)s", share=_fraction(high, "up"))
    if all_:
        return Sentence("at least %(share)s", share=_fraction(low, "down"))
    return Sentence("between %(low)s and %(high)s", low=_fraction(low, "down"), high=_fraction(high, "up"))


def number(of: Sentence, n: int) -> Sentence:
    """So many of what `of` counts."""
    return counted(of.one, of.many, n, many=in_thousands(n))


def whence(examples: int, units: Mapping[str, int]) -> Sentence:
    """What was counted, and in how many of what.

    >>> whence(140, {"case": 9, "peg": 1})
    'from 140 examples in 9 cases and 1 peg'
    """
    counts = number(_EXAMPLES, examples)
    named = [number(_UNITS[scope], n) for scope, n in units.items() if n]
    if not named:
        return Sentence("from %(examples)s", examples=counts)
    return Sentence("from %(examples)s in %(where)s", examples=counts, where=listed(named))


def absence_sentence(absence: Absence) -> Sentence:
    return Sentence(
        "%(examples)s from %(cases)s compared, no difference seen: another variant, if there is one, makes up "
        "%(mixed)s of the items where cases mix them, or %(by_case)s of the cases where they do not",
        examples=number(_EXAMPLES, absence.examples),
        cases=number(_CASES, absence.cases),
        mixed=between(0, absence.share),
        by_case=between(0, absence.cases_share),
    )


def richness_sentence(richness: Richness) -> Sentence:
    """Whether these are likely to be all of them."""
    met, more = richness.met, richness.high - richness.met
    if not met:
        return Sentence("nothing counted yet")
    if more < 0.5:
        return counted(
            "%(met)s kind met; probably all there are",
            "%(met)s kinds met; probably all there are",
            met,
            met=in_thousands(met),
        )
    likely = round(richness.estimate - met)
    if likely == 0:
        return counted(
            "%(met)s kind met; perhaps none more, and up to %(most)s more possible",
            "%(met)s kinds met; perhaps none more, and up to %(most)s more possible",
            met,
            met=in_thousands(met),
            most=in_thousands(ceil(more)),
        )
    return counted(
        "%(met)s kind met; about %(likely)s more likely, and up to %(most)s more possible",
        "%(met)s kinds met; about %(likely)s more likely, and up to %(most)s more possible",
        met,
        met=in_thousands(met),
        likely=str(likely),
        most=in_thousands(ceil(more)),
    )


def _fraction(share: float, way: Way) -> Sentence:
    """Tenths for the common, one in so many for the rest; `down` never says more than the share, `up` never less."""
    if share < _NEXT_TO_NONE:
        return Sentence("next to none") if way != "up" else one_in(round(1 / _NEXT_TO_NONE))
    if share > _IN_TENTHS:
        tenths = {
            "down": floor(share * 10 + _SLIP),
            "near": round(share * 10),
            "up": ceil(share * 10 - _SLIP),
        }[way]
        return Sentence("%(tenths)s in 10", tenths=str(tenths)) if tenths < 10 else Sentence("nearly all")
    step = 10 ** max(0, floor(log10(1 / share) + _SLIP) - 1)
    steps = 1 / share / step
    many = {"down": ceil(steps - _SLIP), "near": round(steps), "up": floor(steps + _SLIP)}[way]
    return one_in(many * step)


def one_in(many: int) -> Sentence:
    return Sentence("1 in %(many)s", many=in_thousands(many))
