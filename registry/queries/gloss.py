"""What gloss meters showed on examples, in words, with what to read next."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from registry.methods.gloss_meter import MeterReading, gloss_range, read_meter
from registry.models import Claim, Example, GlossReading, Member

MOST = 100


def told(rows: QuerySet[GlossReading]) -> QuerySet[GlossReading]:
    """With all that is told of each. Queries: 1."""
    return rows.select_related("example", "claim__variant", "trait__merged_into", "by")


def judged(row: GlossReading) -> MeterReading:
    """What the rules of ISO 2813 say of it."""
    return read_meter(row.geometry, row.gloss_units)


@dataclass(frozen=True)
class ShownGloss:
    """A reading as pages show it. `advice`: empty too where that angle has been read on the same example."""

    row: GlossReading
    range: str
    advice: str


def gloss_for(claims: Iterable[Any]) -> dict[int, list[ShownGloss]]:
    """By the key of the claim, oldest first, at most 100 in all. Queries: 1."""
    rows = list(told(GlossReading.objects.standing().on(claims)).order_by("pk")[:MOST])
    taken = {(row.shown_claim, row.example_id, row.geometry) for row in rows}
    found: dict[int, list[ShownGloss]] = defaultdict(list)
    for row in rows:
        read = judged(row)
        is_done = (row.shown_claim, row.example_id, read.better_angle) in taken
        range_ = gloss_range(row.geometry, row.gloss_units)
        found[row.shown_claim].append(ShownGloss(row, range_, "" if is_done else read.advice))
    return found


def examples_to_read(claim: Claim, member: Member) -> QuerySet[Example]:
    """Items of the release that the member may have had at the meter: their own, and those that show the claim."""
    marked = claim.marks.standing().values("example")
    of_release = Example.objects.filter(release=claim.variant.release_id).select_related("owner")
    return of_release.filter(Q(owner=member) | Q(pk__in=marked)).order_by("pk")
