"""Rows of sightings, statements of order, codes and watches that break one constraint each."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from tests import factories as f


def twice(factory: Any, **fields: Any) -> Callable[[], Any]:
    return lambda: (factory(**fields), factory(**fields))


def order_with_itself() -> None:
    variant = f.VariantFactory()
    f.StatementFactory(variant=variant, release=variant.release, other=variant)


def same_key() -> None:
    twice(f.SightingFactory, by=f.MemberFactory(), key="shelf 1")()


def same_pattern() -> None:
    twice(f.CodePatternFactory, line=f.LineFactory(), name="Lower flap", template="{yy}{ww}")()


def code_without_a_pattern() -> None:
    days = {"on": date(2025, 1, 1), "until": date(2025, 1, 2)}
    f.StatementFactory(kind="coded", other=None, code="K24", **days)


def case_told_twice() -> None:
    said = f.CaseContentFactory()
    f.CaseContentFactory(assortment=said.assortment, variant=said.variant)


def follow_twice(kind: str, factory: Any) -> Callable[[], Any]:
    def broken() -> None:
        others = {"casting": None, "assortment": None, "line": None}
        twice(f.WatchFactory, member=f.MemberFactory(), **{**others, kind: factory()})()

    return broken


BROKEN_ORDERS: list[tuple[str, Callable[[], Any]]] = [
    ("sighting_compared_only_in_full_count", lambda: f.SightingFactory(total=2)),
    ("sighting_compared_only_in_full_count", lambda: f.SightingFactory(no_difference=True)),
    ("sighting_key_once", same_key),
    ("statement_kind_known", lambda: f.StatementFactory(kind="near")),
    ("statement_source_kind_known", lambda: f.StatementFactory(source_kind="dream")),
    ("statement_relation_or_bound", lambda: f.StatementFactory(on=date(2025, 1, 1))),
    ("statement_relation_or_bound", lambda: f.StatementFactory(other=None)),
    ("statement_relation_or_bound", lambda: f.StatementFactory(kind="not_before", on=date(2025, 1, 1))),
    ("statement_of_two", order_with_itself),
    ("statement_relation_or_bound", lambda: f.StatementFactory(kind="packed")),
    ("statement_coded_says_its_code", lambda: f.StatementFactory(code="K24")),
    ("statement_coded_says_its_code", code_without_a_pattern),
    ("statement_standing_known", lambda: f.StatementFactory(standing="x")),
    ("statement_posterior_in_range", lambda: f.StatementFactory(posterior=1.5)),
    ("code_pattern_once_per_line", same_pattern),
    ("code_pattern_dates_known", lambda: f.CodePatternFactory(dates="x")),
    ("code_pattern_year_plausible", lambda: f.CodePatternFactory(first_year=1899)),
    ("code_pattern_margin_within_a_year", lambda: f.CodePatternFactory(margin_days=367)),
    ("watch_follows_one_thing", lambda: f.WatchFactory(line=None)),
    ("watch_casting_once", follow_twice("casting", f.CastingFactory)),
    ("watch_assortment_once", follow_twice("assortment", f.AssortmentFactory)),
    ("watch_line_once", follow_twice("line", f.LineFactory)),
    ("case_content_once", case_told_twice),
    ("case_content_positive", lambda: f.CaseContentFactory(per_case=0)),
    ("feed_event_kind_known", lambda: f.FeedEventFactory(kind="x")),
    ("feed_event_names_variant", lambda: f.FeedEventFactory(variant=None, release=f.ReleaseFactory())),
]
