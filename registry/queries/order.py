"""In what order the variants of a release appeared: what was said and seen, gathered for methods.sequence."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from django.db.models import Count, F, Max, Min, Q

from registry.methods.moments import in_words
from registry.methods.sequence import Dated, ReleaseOrder, put_in_order
from registry.methods.sequence import Statement as Said
from registry.methods.sequence import Window as Days
from registry.models import (
    Assortment,
    CountKind,
    CountLine,
    Release,
    Statement,
    StatementKind,
    StatementStanding,
    Variant,
    Verdict,
)
from registry.sentences import Sentence

from .said import said_in_order
from .siblings import Siblings, siblings

MOST_STATEMENTS = 300
"""Of a release, the best supported ones, then the oldest."""
MOST_STRANDS = 60
"""Variants by country; past that countries are not told apart, for the cost grows with their cube."""
WINDOW_SUPPORT = 0.5
MOST_ROWS = 60
"""Of a timeline."""

_in_order = lru_cache(maxsize=64)(put_in_order)


@dataclass(frozen=True)
class Source:
    """What the method was told by one of its ids, in words; `statement` where somebody stated it."""

    words: str
    support: float
    statement: Statement | None = None
    confirms: int = 0
    contradicts: int = 0


@dataclass(frozen=True)
class Bounds:
    """Between which days the first and the last of a variant lie; None where nothing says."""

    first_from: date | None
    first_to: date | None
    last_from: date | None
    last_to: date | None


@dataclass(frozen=True)
class ReleaseSequence:
    """The order, and what it was drawn from by id. `left_out`: statements on what is not listed, or past the most."""

    siblings: Siblings
    order: ReleaseOrder
    sources: Mapping[str, Source]
    left_out: int

    def named(self, ids: tuple[str, ...]) -> list[Source]:
        return [self.sources[one] for one in ids]

    def bounds(self, variant: Variant, dates: Dated = "production", country: str = "") -> Bounds:
        """Days for one variant. That the first was made by today goes without saying."""
        found = self.order.span(variant.public_id, dates, country)
        days = (found.first_from, found.first_to, found.last_from, found.last_to)
        today = self.order.window.today
        return Bounds(*(date.fromordinal(day) if day is not None and day != today else None for day in days))

    def is_seen_in(self, variant: Variant, country: str) -> bool:
        return (variant.public_id, country) in self.order.strands

    def before(self, dates: Dated) -> list[tuple[Variant, Variant]]:
        """The order as the fewest pairs (earlier, later)."""
        names = self.siblings.by_id
        return [(names[one], names[other]) for one, other in self.order.steps(dates)]

    @property
    def countries(self) -> tuple[str, ...]:
        return tuple(sorted({strand for _, strand in self.order.strands}))


def release_sequence(release: Release, today: date, among: Siblings | None = None) -> ReleaseSequence:
    """Queries: 3, and 1 more where the siblings are not handed in, whatever the size.

    What was set apart, merged away, split or struck has no place in the order. Cost: bounded by MOST_STATEMENTS,
    MOST_STRANDS and EARLIEST.
    """
    among = among or siblings(release)
    listed = {variant.pk for variant in among.changes}
    stated, left_out = statements_of(release, among, listed)
    told = [*stated, *first_sightings(among, listed), *windows_of(among)]
    latest = max([today.toordinal(), *(said.latest or 0 for said, _ in told)])
    order = _in_order(
        tuple(variant.public_id for variant in among.changes),
        tuple(said for said, _ in told),
        Days(today=latest),
    )
    return ReleaseSequence(among, order, {said.id: source for said, source in told}, left_out)


def statements_of(
    release: Release, among: Siblings, listed: set[int]
) -> tuple[list[tuple[Said, Source]], int]:
    """What stands and is not refuted, with the votes that count, and how many cannot be used. Queries: 1."""
    current = Q(votes__is_current=True, votes__counts=True)
    rows = (
        Statement.objects.filter(release=release, closed_at=None)
        .exclude(standing=StatementStanding.REFUTED)
        .select_related("variant", "other", "code_pattern")
        .annotate(
            confirms=Count("votes", filter=current & Q(votes__verdict=Verdict.CONFIRMS)),
            contradicts=Count("votes", filter=current & Q(votes__verdict=Verdict.CONTRADICTS)),
        )
        .order_by((F("contradicts") - F("confirms")).asc(), "pk")
    )
    told: list[tuple[Said, Source]] = []
    left_out = 0
    for row in rows[: MOST_STATEMENTS + 1]:
        about = [among.standing_for.get(key) for key in (row.variant_id, row.other_id) if key]
        ids = tuple(variant.public_id for variant in about if variant and variant.pk in listed)
        if len(told) == MOST_STATEMENTS or len(ids) != len(about) or len(set(ids)) != len(ids):
            left_out += 1
            continue
        support = support_of(row)
        said = said_in_order(row, ids, support)
        told.append((said, Source(words_of(row, said), support, row, row.confirms, row.contradicts)))
    return told, left_out


def words_of(row: Statement, said: Said) -> str:
    """`A was shipped before B` where the source dates shipping, not making."""
    if row.kind in (StatementKind.PACKED, StatementKind.CODED):
        return str(row)
    table = SHIPPED if said.dates == "shipping" else MADE
    return Sentence(
        table.get(row.kind, MADE[row.kind]).one,
        variant=str(row.variant),
        other=str(row.other or ""),
        day=in_words(row.on) if row.on else "",
    )


MADE: dict[str, Sentence] = {
    StatementKind.BEFORE: Sentence("%(variant)s was made before %(other)s"),
    StatementKind.ALONGSIDE: Sentence("%(variant)s was made alongside %(other)s"),
    StatementKind.ENDED_BY: Sentence("%(variant)s was replaced by %(other)s"),
    StatementKind.RETURNED: Sentence("%(variant)s came back after %(other)s"),
    StatementKind.NOT_BEFORE: Sentence("%(variant)s was not made before %(day)s"),
    StatementKind.NOT_AFTER: Sentence("%(variant)s was not made after %(day)s"),
}
SHIPPED: dict[str, Sentence] = {
    StatementKind.BEFORE: Sentence("%(variant)s was shipped before %(other)s"),
    StatementKind.ALONGSIDE: Sentence("%(variant)s was shipped alongside %(other)s"),
    StatementKind.NOT_BEFORE: Sentence("%(variant)s was not shipped before %(day)s"),
    StatementKind.NOT_AFTER: Sentence("%(variant)s was not shipped after %(day)s"),
}


def support_of(row: Any) -> float:
    """Who stated it counts one, each reviewer one more or one less; what is disputed counts half."""
    support = max(0.0, 1.0 + row.confirms - row.contradicts)
    return support / 2 if row.standing == StatementStanding.DISPUTED else support


def first_sightings(among: Siblings, listed: set[int]) -> list[tuple[Said, Source]]:
    """The earliest sightings of each variant in each country, one a member. Queries: 1 at most."""
    kept = [(among.standing_for[row.variant], row) for row in among.first_sightings]
    kept = [(variant, row) for variant, row in kept if variant.pk in listed]
    strands = {(variant.pk, row.country) for variant, row in kept}
    told = []
    for variant, row in kept:
        said = Said(
            f"seen {variant.public_id} {row.country} {row.variant} {row.nth}",
            "seen",
            (variant.public_id,),
            latest=row.day.toordinal(),
            dates="shipping",
            strand=row.country if len(strands) <= MOST_STRANDS else "",
            by=str(row.by),
        )
        named = {"variant": str(variant), "day": in_words(row.day), "country": row.country}
        if row.country:
            words = Sentence("%(variant)s was seen on %(day)s in %(country)s", **named)
        else:
            words = Sentence("%(variant)s was seen on %(day)s", **named)
        told.append((said, Source(words, said.support)))
    return told


def windows_of(among: Siblings) -> list[tuple[Said, Source]]:
    """A release shipped only in assortments whose windows are known was not shipped before the first of them opens.

    Queries: 1 at most. It is weak support: windows slip, and there may be packs that nobody has noted.
    """
    rows: list[Any] = list(among.shipped_in)
    dated = [
        (item.assortment.opens_on, item.assortment.name)
        for item in rows
        if item.assortment.opens_on and not item.in_sets
    ]
    if not dated or len(dated) < len(rows):
        return []
    opens, name = min(dated)
    told = []
    for variant in among.changes:
        said = Said(
            f"window {variant.public_id}",
            "not_before",
            (variant.public_id,),
            earliest=opens.toordinal(),
            dates="shipping",
            support=WINDOW_SUPPORT,
        )
        words = Sentence(
            "%(variant)s was shipped in %(assortment)s or later, from %(day)s",
            variant=str(variant),
            assortment=name,
            day=in_words(opens),
        )
        told.append((said, Source(words, said.support)))
    return told


def pack_kinds(among: Siblings) -> dict[str, set[str]]:
    """In which kinds of pack each variant was seen. Queries: 1."""
    seen: dict[str, set[str]] = defaultdict(set)
    lines = CountLine.objects.filter(
        kind=CountKind.VARIANT,
        variants__in=list(among.standing_for),
        sighting__withdrawn_at=None,
        sighting__pack__isnull=False,
    )
    for key, kind in lines.values_list("variants", "sighting__pack__kind").distinct().order_by():
        seen[among.standing_for[key].public_id].add(kind)
    return dict(seen)


@dataclass(frozen=True)
class FirstSeen:
    """When a variant was first and last seen in shops and collections: shipping, not production."""

    variant: Variant
    first: date
    last: date


def first_seen(assortment: Assortment) -> list[FirstSeen]:
    """The variants of the assortment's releases by first sighting, wherever that was. Queries: 1."""
    told = Q(count_lines__kind=CountKind.VARIANT, count_lines__sighting__withdrawn_at=None)
    rows = (
        Variant.objects.live()
        .filter(release__in=assortment.items.values("release"))
        .select_related("release")
        .annotate(
            first=Min("count_lines__sighting__seen_on", filter=told),
            last=Max("count_lines__sighting__seen_on", filter=told),
        )
        .filter(first__isnull=False)
        .order_by("first", "release__name", "pk")
    )
    return [FirstSeen(row, row.first, row.last) for row in rows[:MOST_ROWS]]
