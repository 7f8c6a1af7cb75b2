"""What it takes to look at a detail: what must be at hand, and how much trouble a look is."""

from __future__ import annotations

import re

from .table import Need

_SIDE_LIGHT = re.compile(r"\brak(e|ed|ing)\b|\btilt|light from the side|low light|\bgloss", re.IGNORECASE)
_MAGNIFIED = re.compile(r"\bmagnif|\bloupe|\bhand lens", re.IGNORECASE)
_BENEATH = frozenset({"base", "rivet", "axle"})
_TROUBLE = {Need.LOOSE: 2.0, Need.RAKING_LIGHT: 2.0, Need.MAGNIFIER: 1.5, Need.BASE_VISIBLE: 0.5}
_MEASURING = 4.0


def needs_of(*, kind: str, place: str, how_to_inspect: str, seen_in_pack: bool) -> frozenset[Need]:
    """What must be at hand, from what is recorded of a detail.

    What is not seen in the pack needs the item loose, and, beneath it, turned over. A finish needs a light from
    the side; so does whatever the note on how to inspect it says so of, and a magnifier likewise.
    Source: common practice, no published source.

    >>> sorted(needs_of(kind="text", place="base", how_to_inspect="Read with a loupe.", seen_in_pack=False))
    [<Need.BASE_VISIBLE: 'base_visible'>, <Need.LOOSE: 'loose'>, <Need.MAGNIFIER: 'magnifier'>]
    """
    needs = set() if seen_in_pack else {Need.LOOSE}
    if place in _BENEATH and not seen_in_pack:
        needs.add(Need.BASE_VISIBLE)
    if kind == "finish" or _SIDE_LIGHT.search(how_to_inspect):
        needs.add(Need.RAKING_LIGHT)
    if _MAGNIFIED.search(how_to_inspect):
        needs.add(Need.MAGNIFIER)
    return frozenset(needs)


def effort_of(needs: frozenset[Need], kind: str) -> float:
    """How much trouble a look is, in plain looks: 1 and more. Only ratios count.

    Source: common practice, no published source; the figures are round on purpose.

    >>> effort_of(frozenset(), "colour"), effort_of(frozenset({Need.LOOSE}), "measure")
    (1.0, 7.0)
    """
    return 1.0 + sum(_TROUBLE.get(need, 0.0) for need in needs) + (_MEASURING if kind == "measure" else 0.0)
