"""Sightings as the counts that abundance reads, for many releases at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from typing import Any, cast

from registry.methods.abundance import Count, Line
from registry.models import CountKind, CountLine, Sighting


def counts_of(
    releases: Collection[int] | None, listed: Mapping[int, Mapping[int, str]]
) -> dict[int, list[Count]]:
    """Full counts by release. `releases` None: all of them. `listed`: by release, the public id of each of its
    variants by key; a merged variant is counted as its survivor.

    Queries: 2. What is no variant of the release any more is left out, and a count that tells nothing with it.
    """
    full = CountLine.objects.filter(sighting__withdrawn_at=None, sighting__is_full_count=True)
    if releases is not None:
        full = full.filter(sighting__release__in=releases)
    lines: dict[Sighting, list[CountLine]] = defaultdict(list)
    for line in full.select_related("sighting").prefetch_related("variants").order_by("sighting", "pk"):
        lines[line.sighting].append(line)
    found: dict[int, list[Count]] = defaultdict(list)
    for sighting, told in lines.items():
        count = count_of(sighting, told, listed.get(sighting.release_id, {}))
        if count.told:
            found[sighting.release_id].append(count)
    return dict(found)


def count_of(sighting: Sighting, lines: Iterable[CountLine], listed: Mapping[int, str]) -> Count:
    kept = tuple(filter(None, (line_of(line, listed) for line in lines)))
    told = sum(line.n for line in kept)
    return Count(
        id=sighting.public_id,
        scope=cast(Any, sighting.scope),
        lines=kept,
        full=sighting.is_full_count,
        cases=min(sighting.cases_compared or 1, max(1, told)),
        picked_over=cast(Any, sighting.picked_over),
        by=str(sighting.by_id),
        place=f"{sighting.country} {sighting.region}".strip(),
        day=sighting.seen_on.toordinal(),
        example=str(sighting.example_id or ""),
    )


def line_of(line: CountLine, listed: Mapping[int, str]) -> Line | None:
    if line.kind == CountKind.NONE_KNOWN:
        return Line(line.n)
    keys = (variant.merged_into_id or variant.pk for variant in line.variants.all())
    names = tuple(dict.fromkeys(listed[key] for key in keys if key in listed))
    return Line(line.n, names) if names else None
