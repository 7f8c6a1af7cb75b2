"""The journal read from its first line: what is known about each release, rebuilt from what was done.

Deciding on replayed facts must give the standings that were stored: so the registry proves to itself that the
journal's actions made them, and nothing else.
"""

from collections.abc import Iterable

from registry.methods.facts import ReleaseFacts

from .state import REVIEWING_ROLES, Detail, Journal, Line
from .steps import STEPS

__all__ = ["BEARING_VERBS", "REVIEWING_ROLES", "Detail", "Line", "fold"]

BEARING_VERBS = frozenset(STEPS)


def fold(lines: Iterable[Line]) -> dict[str, ReleaseFacts]:
    """The facts of every release that was not merged into another, after the last line.

    Verbs outside BEARING_VERBS are passed over: they do not bear on standing.
    Shapes: lines in ascending order of `seq`; details hold what JSON holds, lists for tuples and sets.
    Errors: ValueError naming the line that is out of order, lacks something, or speaks of what is not there.
    """
    journal = Journal()
    last = None
    for line in lines:
        if last is not None and line.seq <= last:
            raise ValueError(f"journal line {line.seq} comes after line {last}")
        last = line.seq
        if line.verb in BEARING_VERBS:
            try:
                STEPS[line.verb](journal, line, line.detail)
            except (KeyError, TypeError, ValueError) as fault:
                raise ValueError(
                    f"journal line {line.seq} ({line.verb}) cannot be replayed: {fault}"
                ) from fault
    return {name: journal.facts(name) for name in journal.releases if name not in journal.merged}
