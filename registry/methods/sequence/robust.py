"""The answer when statements contradict each other: drop the least supported ones until the rest can hold.

What to drop is a hitting set of all conflicts, with the least support in total. Conflicts are found as they are
needed: hit the known ones at the least cost, look for one that is missed, repeat; when none is missed the cost
is the least there is (Moreno-Centeno and Karp 2013, "The implicit hitting set approach", Operations Research 61,
named from memory). The optimiser is HiGHS through scipy.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .conflicts import Contradictions
from .statements import Statement

ROUNDS = 40  # of exact hitting; past that the least supported member of each conflict goes
_TIE = 1e-6  # what a statement costs beyond its support, so that nothing is dropped for free


@dataclass(frozen=True, slots=True)
class Dropped:
    """Ids of what was left out, by id. `support` is theirs together; no choice has less than `at_least`."""

    statements: tuple[str, ...] = ()
    support: float = 0.0
    at_least: float = 0.0

    @property
    def is_least(self) -> bool:
        return self.support <= self.at_least + 1e-9


def drop_least(search: Contradictions, statements: Sequence[Statement]) -> Dropped:
    """The statements to leave out, at the least support in total; fewest statements among equals.

    Exact when settled within ROUNDS, which small releases are; otherwise greedy, with the bound reached so far.
    Nothing is dropped that could be put back.
    """
    conflicts: list[set[int]] = []
    out: set[int] = set()
    bound = 0.0
    for _ in range(ROUNDS):
        missed = list(_disjoint_conflicts(search, statements, out))
        if not missed:
            break
        conflicts += [alike for conflict in missed for alike in search.likewise(conflict)]
        out = _cheapest_hit(conflicts, statements)
        bound = sum(statements[index].support for index in out)
    everything = range(len(statements))
    while conflict := search.among([index for index in everything if index not in out]):
        out.add(min(conflict, key=lambda i: (statements[i].support, i)))
    for index in sorted(out, key=lambda i: (-statements[i].support, i)):
        if search.holds(i for i in everything if i not in out or i == index):
            out.discard(index)
    dropped = sorted(out)
    support = sum(statements[index].support for index in dropped)
    return Dropped(tuple(statements[index].id for index in dropped), support, min(bound, support))


def _disjoint_conflicts(
    search: Contradictions, statements: Sequence[Statement], out: Iterable[int]
) -> Iterable[set[int]]:
    left = set(range(len(statements))) - set(out)
    while conflict := search.among(sorted(left)):
        yield conflict
        left -= conflict


def _cheapest_hit(conflicts: Sequence[set[int]], statements: Sequence[Statement]) -> set[int]:
    """One member at least of every conflict, with the least support in total."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    members = sorted(set().union(*conflicts))
    column = {index: place for place, index in enumerate(members)}
    rows = [row for row, conflict in enumerate(conflicts) for _ in conflict]
    columns = [column[index] for conflict in conflicts for index in conflict]
    hits = csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(conflicts), len(members)))
    cost = np.array([statements[index].support for index in members])
    cost = cost + _TIE * max(1.0, cost.max()) / len(members)
    solved = milp(
        cost,
        integrality=np.ones(len(members)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(hits, lb=1),
        options={"mip_rel_gap": 0},
    )
    return {index for index, chosen in zip(members, solved.x, strict=True) if chosen > 0.5}
