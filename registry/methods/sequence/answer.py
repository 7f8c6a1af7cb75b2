"""What the statements of one release come to."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from .conflicts import Conflict, Contradictions
from .moments import FIRST, LAST, ORIGIN, Moments
from .network import Inconsistent, Matrix, closure, direct, is_consistent, tightened
from .orders import Relation, count_orders, reduction
from .robust import Dropped, drop_least
from .statements import NO_LIMITS, Statement, Window, check, distinct

Dated = Literal["production", "shipping"]


@dataclass(frozen=True, slots=True)
class Span:
    """Between which days the first and the last of a variant lie; None where no statement says."""

    first_from: int | None
    first_to: int | None
    last_from: int | None
    last_to: int | None


@dataclass(frozen=True, eq=False)
class ReleaseOrder:
    """The answer: what the statements, without those dropped, say together.

    `conflict` is the smallest set among all statements that cannot all hold, None where all can. `dropped` is
    what was then left out, and everything else here is said without it. Statements that a member made twice
    stand once in `statements`.
    """

    variants: tuple[str, ...]
    statements: tuple[Statement, ...]
    window: Window
    conflict: Conflict | None
    dropped: Dropped
    moments: Moments
    tightest: Matrix

    def span(self, variant: str, dates: Dated = "production", strand: str = "") -> Span:
        """Days for one variant, of making or of shipping; with a strand, those of that factory or region.

        Errors: KeyError where the variant, or a statement on it with that strand, is not known.
        """
        first, last = (self.moments.at(variant, strand, end, dates) for end in (FIRST, LAST))
        to, since = self.tightest[ORIGIN], -self.tightest[:, ORIGIN]
        return Span(*(_day(bound) for bound in (since[first], to[first], since[last], to[last])))

    def before(self, dates: Dated = "production") -> Relation:
        """before[i, j] where the first of variant i came before the first of variant j for certain."""
        firsts = [self.moments.at(variant, "", FIRST, dates) for variant in self.variants]
        return (self.tightest[np.ix_(firsts, firsts)] < 0).T

    def steps(self, dates: Dated = "production") -> tuple[tuple[str, str], ...]:
        """The order as the fewest pairs (earlier, later), for drawing."""
        pairs = np.argwhere(reduction(self.before(dates)))
        return tuple((self.variants[i], self.variants[j]) for i, j in pairs.tolist())

    def number_of_orders(self, dates: Dated = "production") -> int | None:
        """How many lists of the variants keep to every certain pair; None for more than COUNTABLE variants."""
        return count_orders(self.before(dates))

    @cached_property
    def strands(self) -> tuple[tuple[str, str], ...]:
        """The (variant, strand) pairs that `span` knows beside whole variants."""
        return tuple(key for key in self.moments.strands if key[1])


def put_in_order(
    variants: Sequence[str], statements: Iterable[Statement], window: Window = NO_LIMITS
) -> ReleaseOrder:
    """Bounds and order of a release's variants from what was said about them.

    Units:  days as whole numbers; the window bounds every day that a statement names.
    Errors: ValueError naming the statement that relates a variant to itself, names one that is not listed, or
            a day before the line began or in the future.
    Cost:   m^3 for m = 4 (variants and strands) + 1 moments; see `conflicts` where statements contradict.

    The order of the statements never matters. Statements that are identical and by one member count once.
    """
    given = tuple(statements)
    check(given, window)
    said = distinct(given)
    moments = Moments(variants, said)
    background = moments.background(window)
    edges = [edge for index, statement in enumerate(said) for edge in moments.edges(statement, index)]
    tightest = closure(direct(moments.size, [*background, *edges]))
    conflict, dropped = None, Dropped()
    if not is_consistent(tightest):
        search = Contradictions(moments.size, background, edges, said)
        conflict, dropped = search.smallest(), drop_least(search, said)
        kept = [edge for edge in edges if said[edge.statement].id not in dropped.statements]
        tightest = closure(direct(moments.size, [*background, *kept]))
    return ReleaseOrder(tuple(variants), said, window, conflict, dropped, moments, tightest)


def with_one_more(order: ReleaseOrder, statement: Statement) -> ReleaseOrder:
    """The same answer as from the start, after one more statement; errors as `put_in_order`.

    Cost: m^2 for a statement that fits in, whatever number came before. Where it or an earlier one is in
    conflict, or names a strand for the first time, everything is computed afresh.
    """
    said = distinct((*order.statements, statement))
    check((*order.statements, statement), order.window)
    fits = order.conflict is None and len(said) == len(order.statements) + 1
    if fits and all((variant, statement.strand) in order.moments.strands for variant in statement.variants):
        try:
            tightest = tightened(order.tightest, order.moments.edges(statement, -1))
            return ReleaseOrder(
                order.variants, said, order.window, None, order.dropped, order.moments, tightest
            )
        except Inconsistent:
            pass
    return put_in_order(order.variants, (*order.statements, statement), order.window)


def _day(bound: float) -> int | None:
    return int(bound) if np.isfinite(bound) else None
