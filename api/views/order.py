"""In what order the variants of a release appeared, and how common each is. Reading only: both follow from the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from math import isfinite
from typing import Any

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from registry.methods.abundance import Absence, Abundance, Richness, absence_sentence
from registry.methods.sequence import Dated
from registry.models import Release
from registry.queries.abundance import ReleaseAbundance, release_abundance
from registry.queries.order import ReleaseSequence, release_sequence

from ..serializers.order import AbundanceOutput, SequenceOutput
from .rows import RowView

WHOLE, HUNDRED = 10_000, 100


class OfOneRelease(RowView):
    parameters = ("fields",)

    def rows(self) -> Any:
        return Release.objects.select_related("merged_into")


class ReleaseSequenceView(OfOneRelease):
    """Earliest and latest days, the order that follows, and what was said that cannot all hold."""

    serializer_class = SequenceOutput

    def get(self, request: Request, public_id: str) -> Response:
        """The order of the release's variants, of making and of shipping, from statements and dated sightings."""
        return self.show(sequence_told(release_sequence(self.row(public_id), timezone.localdate())))


class ReleaseAbundanceView(OfOneRelease):
    """Shares with intervals that hold all at once, from full counts only. Frequencies, and nothing else."""

    serializer_class = AbundanceOutput

    def get(self, request: Request, public_id: str) -> Response:
        """How common each variant of the release is, and whether those are likely to be all."""
        return self.show(abundance_told(release_abundance(self.row(public_id))))


def sequence_told(found: ReleaseSequence) -> dict[str, Any]:
    order = found.order
    return {
        "release": found.siblings.release.public_id,
        "variants": [
            {
                "variant": variant.public_id,
                "made": found.bounds(variant),
                "shipped": found.bounds(variant, "shipping"),
                "shipped_by_country": [
                    {"country": country, **asdict(found.bounds(variant, "shipping", country))}
                    for country in found.countries
                    if found.is_seen_in(variant, country)
                ],
            }
            for variant in found.siblings.changes
        ],
        "made": order_told(found, "production"),
        "shipped": order_told(found, "shipping"),
        "conflict": order.conflict,
        "dropped": {
            "statements": order.dropped.statements,
            "support": round(order.dropped.support * HUNDRED),
            "is_least": order.dropped.is_least,
        },
        "said": [said_told(found, said) for said in order.statements],
        "left_out": found.left_out,
    }


def order_told(found: ReleaseSequence, dates: Dated) -> dict[str, Any]:
    number = found.order.number_of_orders(dates)
    return {"pairs": found.order.steps(dates), "number": None if number is None else str(number)}


def said_told(found: ReleaseSequence, said: Any) -> dict[str, Any]:
    source = found.sources[said.id]
    return {
        "id": said.id,
        "statement": source.statement.public_id if source.statement else None,
        "kind": said.kind,
        "variants": said.variants,
        "dates": said.dates,
        "earliest": date.fromordinal(said.earliest) if said.earliest else None,
        "latest": date.fromordinal(said.latest) if said.latest else None,
        "country": said.strand,
        "support": round(said.support * HUNDRED),
        "words": source.words,
    }


def abundance_told(found: ReleaseAbundance) -> dict[str, Any]:
    whole = found.whole
    return {
        "release": found.siblings.release.public_id,
        "level": round(whole.level * WHOLE),
        "examples": whole.examples,
        "could_not_tell": whole.could_not_tell,
        "clusters": whole.clusters,
        "units": whole.units,
        "shares": shares_told(whole),
        "unmet_by_clusters": unmet_told(whole.unmet_by_clusters),
        "unmet_by_examples": unmet_told(whole.unmet_by_examples),
        "no_difference": no_difference_told(found.absence) if found.absence else None,
        "by_country": parts_told(found.by_country),
        "by_year": parts_told(found.by_year),
        "is_cut": found.is_cut,
    }


def shares_told(among: Abundance) -> list[dict[str, Any]]:
    def part(share: float | None) -> int | None:
        return None if share is None else round(share * WHOLE)

    return [
        {
            "variant": share.variant or None,
            "status": share.status,
            "share": part(share.estimate if share.examples else None),
            "low": part(share.low),
            "high": part(share.high),
            "examples": share.examples,
            "clusters": share.clusters,
            "finds": share.finds,
            "words": among.words(share),
        }
        for share in among.shares
    ]


def parts_told(apart: Mapping[str, Abundance]) -> list[dict[str, Any]]:
    return [{"name": name, "shares": shares_told(among)} for name, among in apart.items()]


def unmet_told(kinds: Richness) -> dict[str, Any]:
    return {
        "met": kinds.met,
        "estimate": round(kinds.estimate * HUNDRED),
        "low": round(kinds.low * HUNDRED),
        "high": round(kinds.high * HUNDRED) if isfinite(kinds.high) else None,
        "coverage": round(kinds.coverage * WHOLE),
    }


def no_difference_told(none: Absence) -> dict[str, Any]:
    return {
        "examples": none.examples,
        "cases": none.cases,
        "share": round(none.share * WHOLE),
        "cases_share": round(none.cases_share * WHOLE),
        "words": absence_sentence(none),
    }
