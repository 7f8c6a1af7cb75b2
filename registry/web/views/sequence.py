"""In what order the variants of a release appeared: drawn, as a table, and as files."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from registry.methods.sequence import Dated
from registry.models import PackKind, Release, Variant
from registry.queries.order import ReleaseSequence, pack_kinds, release_sequence
from registry.sentences import in_thousands
from registry.web.charts import order_chart
from registry.web.downloads import csv_file, svg_file
from registry.web.views.browse import found, survivor_page

RELATED = ("line__maker", "casting__maker", "merged_into")
BOTH: tuple[Dated, Dated] = ("production", "shipping")


def sequence_of(public_id: str) -> ReleaseSequence:
    """Of the release that the id names, or of the one that it was merged into."""
    release: Release = found(Release, public_id, *RELATED).survivor
    return release_sequence(release, timezone.localdate())


def order(request: HttpRequest, public_id: str) -> HttpResponse:
    release = found(Release, public_id, *RELATED)
    if moved := survivor_page(release):
        return moved
    sequence = release_sequence(release, timezone.localdate())
    packs = pack_kinds(sequence.siblings)
    return render(
        request,
        "registry/order.html",
        {
            "release": release,
            "sequence": sequence,
            "parts": [part(sequence, packs, dates) for dates in BOTH],
            "rows": rows(sequence, packs),
            "by_country": by_country(sequence),
            "conflict": conflict(sequence),
            "stated": [source for source in sequence.sources.values() if source.statement],
        },
    )


def order_svg(request: HttpRequest, public_id: str) -> HttpResponse:
    sequence = sequence_of(public_id)
    dates: Dated = "shipping" if request.GET.get("dates") == "shipping" else "production"
    chart = order_chart(sequence, pack_kinds(sequence.siblings), dates)
    return svg_file(chart, "registry/drawing/order.svg", f"order-{dates}-{public_id}")


def order_csv(request: HttpRequest, public_id: str) -> HttpResponse:
    sequence = sequence_of(public_id)
    ends = ("first_from", "first_to", "last_from", "last_to")
    header = ["variant_id", "variant", "standing"]
    header += [f"{done}_{end}" for done in ("made", "shipped") for end in ends]
    header += ["made_after", "shipped_after"]
    table = []
    for row in rows(sequence, pack_kinds(sequence.siblings)):
        spans = [getattr(row[span], end) for span in ("made", "shipped") for end in ends]
        after = [" ".join(other.public_id for other in row[f"{done}_after"]) for done in ("made", "shipped")]
        variant = row["variant"]
        table.append([variant.public_id, variant.title, variant.standing, *spans, *after])
    return csv_file(header, table, f"order-{public_id}")


def part(sequence: ReleaseSequence, packs: dict[str, set[str]], dates: Dated) -> dict[str, Any]:
    """One drawing, and how many lists of the variants agree with it."""
    orders = sequence.order.number_of_orders(dates)
    return {
        "dates": dates,
        "pairs": sequence.before(dates),
        "chart": order_chart(sequence, packs, dates),
        "orders": in_thousands(orders) if orders else "",
    }


def rows(sequence: ReleaseSequence, packs: dict[str, set[str]]) -> list[dict[str, Any]]:
    after: dict[str, dict[Variant, list[Variant]]] = {dates: defaultdict(list) for dates in BOTH}
    for dates in BOTH:
        for earlier, later in sequence.before(dates):
            after[dates][later].append(earlier)
    return [
        {
            "variant": variant,
            "packs": [kind.label for kind in PackKind if kind in packs.get(variant.public_id, ())],
            "made": sequence.bounds(variant),
            "shipped": sequence.bounds(variant, "shipping"),
            "made_after": after["production"][variant],
            "shipped_after": after["shipping"][variant],
        }
        for variant in sequence.siblings.changes
    ]


def by_country(sequence: ReleaseSequence) -> list[tuple[Variant, list[Any]]]:
    """For each variant, by which day it had been shipped in each of the countries; None where it was not seen."""
    return [
        (
            variant,
            [
                sequence.bounds(variant, "shipping", country).first_to
                if sequence.is_seen_in(variant, country)
                else None
                for country in sequence.countries
            ],
        )
        for variant in sequence.siblings.changes
    ]


def conflict(sequence: ReleaseSequence) -> dict[str, Any] | None:
    """What cannot all hold, which of it to doubt first, and what was left out for the order shown."""
    named = sequence.order.conflict
    if named is None:
        return None
    doubt = sequence.named(named.doubt)
    least = [source for source in doubt if source.support == doubt[0].support]
    return {
        "sources": sequence.named(named.statements),
        "doubt": least if len(least) < len(doubt) else [],
        "is_smallest": named.guarantee == "smallest",
        "dropped": sequence.named(sequence.order.dropped.statements),
        "is_least": sequence.order.dropped.is_least,
    }
