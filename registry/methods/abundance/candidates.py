"""Which variants an item may have been that a count told as one of them."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Known:
    """A variant of the release: since when it is known, its known states by trait, the traits it was told by."""

    variant: str
    since: datetime
    states: Mapping[int, int] = field(default_factory=dict)
    differs_on: frozenset[int] = frozenset()


def told_apart(one: Known, other: Known, seen: Collection[int]) -> bool:
    """Whether who saw these traits could tell the two variants apart.

    They could by a trait that one of the two was reported for, unless both are known to have the same state of it.
    """
    telling = (one.differs_on | other.differs_on) & set(seen)
    return any(trait not in one.states or one.states[trait] != other.states.get(trait) for trait in telling)


def candidates(
    named: Sequence[str], known: Sequence[Known], counted_at: datetime, seen: Collection[int] = ()
) -> tuple[str, ...]:
    """What a line of a full count stands for: those it names, and those it did not tell from them.

    A variant that was not known yet was counted as another; so was one that differs only where nobody looked.
    `seen`: the traits that could be seen, where the count says. A line that names none of the known ones, counted
    before others were reported, stands for those. The answer is in the order of `known`; empty where it is none.

    Errors: ValueError where a line names a variant that is not known.
    Source: common practice of the trade, no published source.
    """
    by_name = {each.variant: each for each in known}
    if strange := [name for name in named if name not in by_name]:
        raise ValueError(f"variant {strange[0]} is not listed")
    if not named:
        return tuple(each.variant for each in known if each.since > counted_at)

    def may_be(other: Known) -> bool:
        is_later = other.since > counted_at
        return any((is_later or bool(seen)) and not told_apart(by_name[name], other, seen) for name in named)

    return tuple(each.variant for each in known if each.variant in named or may_be(each))
