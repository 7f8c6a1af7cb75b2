"""What a hunter needs to know of one release: what counts as one thing, and how to tell each in a few words.

Variants are given as their known states by trait; a trait that is not there is not known. Two variants are told apart
by a trait only where it is known of both and differs.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

States = Mapping[str, str]
MOST_COMPARED = 120
"""Variants of one release compared with each other; of more, only the named differences are told."""
MOST_TOGETHER = 3
"""Details looked for together before the search goes on greedily."""


@dataclass(frozen=True, slots=True)
class Tell:
    """`traits` tell it from all others but those at `unlike`, which nothing known tells it from.

    `in_pack`: all of them are seen in the blister or box. Both are of use only where there is a trait.
    """

    traits: tuple[str, ...]
    in_pack: bool
    unlike: tuple[int, ...]


def kinds(variants: Sequence[States], counting: Collection[str]) -> list[int]:
    """Where only some traits count: for each variant the number of its kind, 0 for that of the first.

    A variant is of the first kind that it is not known to differ from in a trait that counts; what it adds is from
    then on known of the kind. So a variant that says nothing of these traits never counts as one more.
    """
    known: list[dict[str, str]] = []
    found = []
    for variant in variants:
        said = {trait: state for trait, state in variant.items() if trait in counting}
        alike = (n for n, kind in enumerate(known) if all(kind.get(t, s) == s for t, s in said.items()))
        number = next(alike, len(known))
        if number == len(known):
            known.append({})
        known[number] |= said
        found.append(number)
    return found


def tells(
    variants: Sequence[States], seen: Collection[str], named: Sequence[Collection[str]] = ()
) -> list[Tell]:
    """For each variant the fewest details that tell it from all others, those seen in the pack first.

    `named`: for each variant the traits reported as its difference, told where there are too many to compare.
    """
    if len(variants) > MOST_COMPARED:
        told = named or [()] * len(variants)
        return [Tell(tuple(sorted(traits)), set(traits) <= set(seen), ()) for traits in told]
    return [_tell(number, variants, seen) for number in range(len(variants))]


def _tell(number: int, variants: Sequence[States], seen: Collection[str]) -> Tell:
    own = variants[number]
    apart: dict[str, set[int]] = {}
    for other, states in enumerate(variants):
        if other != number:
            for trait in own.keys() & states.keys():
                if own[trait] != states[trait]:
                    apart.setdefault(trait, set()).add(other)
    told = set().union(*apart.values())
    unlike = tuple(sorted(set(range(len(variants))) - told - {number}))
    in_pack = {trait: others for trait, others in apart.items() if trait in seen}
    if set().union(*in_pack.values()) == told:
        apart = in_pack
    traits = _fewest(apart, told)
    return Tell(traits, all(trait in seen for trait in traits), unlike)


def _fewest(apart: Mapping[str, set[int]], told: set[int]) -> tuple[str, ...]:
    """The fewest traits that together tell all of them; beyond `MOST_TOGETHER` the most telling one after another.

    Of equally few, the most telling first and then in order of their names, so that the answer is always the same.
    """
    order = sorted(apart, key=lambda trait: (-len(apart[trait]), trait))
    for size in range(min(MOST_TOGETHER, len(order)) + 1):
        for chosen in combinations(order, size):
            if set().union(*(apart[trait] for trait in chosen)) == told:
                return chosen
    found: list[str] = []
    left = set(told)
    while left:
        best = max(order, key=lambda trait: len(apart[trait] & left))
        found.append(best)
        left -= apart[best]
    return tuple(found)
