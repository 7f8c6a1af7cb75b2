"""From statements to constraints: the four moments of each variant, and the edges between them."""

from collections.abc import Iterable, Sequence

from .network import Edge
from .statements import RELATIONS, Statement, Window

ORIGIN = 0  # day 0, which all days count from
FIRST, LAST = 0, 1
_KINDS = {"production": 0, "shipping": 2}


class Moments:
    """Where each moment stands in the network. A variant with strand "" is the whole of it, all factories.

    Errors: ValueError where a variant is listed twice, or a statement names one that is not listed.
    """

    def __init__(self, variants: Sequence[str], statements: Iterable[Statement]) -> None:
        if len(set(variants)) != len(variants):
            raise ValueError("a variant is listed twice")
        known, parts = set(variants), set()
        for statement in statements:
            for variant in statement.variants:
                if variant not in known:
                    raise ValueError(f"statement {statement.id}: variant {variant} is not listed")
                if statement.strand:
                    parts.add((variant, statement.strand))
        self.variants = tuple(variants)
        self.strands = (*((variant, "") for variant in variants), *sorted(parts))
        self._start = {key: 1 + 4 * i for i, key in enumerate(self.strands)}

    @property
    def size(self) -> int:
        return 1 + 4 * len(self.strands)

    def at(self, variant: str, strand: str, end: int, dates: str = "production") -> int:
        return self._start[variant, strand] + _KINDS[dates] + end

    def background(self, window: Window) -> list[Edge]:
        """What holds of all items: made before shipped, first before last, a part within the whole.

        The last item made is shipped at some time, so the last shipping day is no earlier than the last
        production day. Each variant was first made between the window's days.
        """
        edges = []
        for variant, strand in self.strands:
            made_first, made_last = (self.at(variant, strand, end) for end in (FIRST, LAST))
            sent_first, sent_last = (self.at(variant, strand, end, "shipping") for end in (FIRST, LAST))
            edges += [_no_later(made_first, made_last), _no_later(sent_first, sent_last)]
            edges += [_no_later(made_first, sent_first), _no_later(made_last, sent_last)]
            if strand:
                for dates in _KINDS:
                    first, last = (self.at(variant, "", end, dates) for end in (FIRST, LAST))
                    edges.append(_no_later(first, self.at(variant, strand, FIRST, dates)))
                    edges.append(_no_later(self.at(variant, strand, LAST, dates), last))
            else:
                edges += [_from(made_first, window.begin)] if window.begin is not None else []
                edges += [_until(made_first, window.today)] if window.today is not None else []
        return edges

    def edges(self, statement: Statement, index: int) -> list[Edge]:
        """The constraints that a statement stands for, as its kind's row in the table of `statements` says."""
        if statement.kind in RELATIONS:
            edges = self._of_relation(statement)
        else:
            edges = [edge for variant in statement.variants for edge in self._of_days(statement, variant)]
        return [edge._replace(statement=index) for edge in edges]

    def _of_relation(self, said: Statement) -> list[Edge]:
        (first_a, last_a), (first_b, last_b) = (
            [self.at(variant, said.strand, end, said.dates) for end in (FIRST, LAST)]
            for variant in said.variants
        )
        return {
            "before": [_earlier(first_a, first_b)],
            "alongside": [_no_later(first_a, last_b), _no_later(first_b, last_a)],
            "ended_by": [_earlier(last_a, first_b)],
            "returned": [_earlier(first_a, first_b), _earlier(first_b, last_a)],
        }[said.kind]

    def _of_days(self, said: Statement, variant: str) -> list[Edge]:
        made_first, made_last = (self.at(variant, said.strand, end) for end in (FIRST, LAST))
        sent_first, sent_last = (self.at(variant, said.strand, end, "shipping") for end in (FIRST, LAST))
        first, last = (sent_first, sent_last) if said.dates == "shipping" else (made_first, made_last)
        edges = []
        if said.kind == "not_before" or said.kind == "coded":
            edges.append(_from(first if said.kind == "not_before" else last, said.earliest))
        if said.kind == "not_after":
            edges.append(_until(last, said.latest))
        elif said.kind == "seen":
            edges.append(_until(sent_first, said.latest))
        elif said.kind == "packed" or (said.kind == "coded" and said.dates != "parts"):
            edges.append(_until(made_first, said.latest))
        return edges


def _earlier(a: int, b: int) -> Edge:
    return Edge(b, a, -1)


def _no_later(a: int, b: int) -> Edge:
    return Edge(b, a, 0)


def _from(moment: int, day: int | None) -> Edge:
    assert day is not None
    return Edge(moment, ORIGIN, -day)


def _until(moment: int, day: int | None) -> Edge:
    assert day is not None
    return Edge(ORIGIN, moment, day)
