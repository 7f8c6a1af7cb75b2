"""How common each variant of a release is: drawn, as a table, and as files. Frequencies, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from registry.methods.abundance import (
    Abundance,
    about,
    absence_sentence,
    richness_sentence,
)
from registry.models import Release
from registry.queries.abundance import MOST_COUNTS, ReleaseAbundance, release_abundance
from registry.sentences import in_thousands, said
from registry.web.charts import NONE_KNOWN, scarcity_chart
from registry.web.downloads import csv_file, svg_file
from registry.web.views.browse import found, survivor_page
from registry.web.views.sequence import RELATED

WHOLE = 10_000


def scarcity(request: HttpRequest, public_id: str) -> HttpResponse:
    release = found(Release, public_id, *RELATED)
    if moved := survivor_page(release):
        return moved
    shares = release_abundance(release)
    whole = shares.whole
    return render(
        request,
        "registry/scarcity.html",
        {
            "release": release,
            "whole": whole,
            "chart": scarcity_chart(shares),
            "rows": rows(shares, whole),
            "parts": [
                (_("By country"), parts(shares, shares.by_country)),
                (_("By year"), parts(shares, shares.by_year)),
            ],
            "all_of_them": all_of_them(whole),
            "left_out": said(whole.left_out_words),
            "absence": said(absence_sentence(shares.absence)) if shares.absence else "",
            "most": MOST_COUNTS if shares.is_cut else 0,
        },
    )


def scarcity_svg(request: HttpRequest, public_id: str) -> HttpResponse:
    shares = release_abundance(found(Release, public_id, *RELATED).survivor)
    return svg_file(scarcity_chart(shares), "registry/drawing/scarcity.svg", f"scarcity-{public_id}")


def scarcity_csv(request: HttpRequest, public_id: str) -> HttpResponse:
    """Shares in ten-thousandths, as in the API."""
    shares = release_abundance(found(Release, public_id, *RELATED).survivor)
    header = [
        "variant_id",
        "variant",
        "standing",
        "status",
        "share_in_10000",
        "low_in_10000",
        "high_in_10000",
    ]
    header += ["examples", "clusters", "finds", "words"]
    table = []
    for row in rows(shares, shares.whole):
        variant, share = row["variant"], row["share"]
        named = [variant.public_id, variant.title, variant.standing] if variant else ["", NONE_KNOWN, ""]
        ends = [
            None if part is None else round(part * WHOLE)
            for part in (share.estimate if share.examples else None, share.low, share.high)
        ]
        table.append([*named, share.status, *ends, share.examples, share.clusters, share.finds, row["words"]])
    return csv_file(header, table, f"scarcity-{public_id}")


def rows(shares: ReleaseAbundance, among: Abundance) -> list[dict[str, Any]]:
    names = shares.siblings.by_id
    return [
        {"variant": names.get(share.variant), "share": share, "words": among.words(share)}
        for share in among.shares
    ]


def parts(shares: ReleaseAbundance, apart: Mapping[str, Abundance]) -> list[tuple[str, list[dict[str, Any]]]]:
    return [(name, rows(shares, among)) for name, among in apart.items()]


def all_of_them(whole: Abundance) -> list[str]:
    """How much of the release the kinds met make up, and how many may not have been met."""
    if not whole.clusters:
        return []
    known = sum(share.variant != "" for share in whole.shares)
    met = sum(share.variant != "" and share.examples > 0 for share in whole.shares)
    return [
        _("Of %(known)s variants known from all reports, %(met)s were met in full counts.")
        % {"known": said(in_thousands(known)), "met": said(in_thousands(met))},
        _("Looked at case by case and peg by peg: %(kinds)s.")
        % {"kinds": said(richness_sentence(whole.unmet_by_clusters))},
        _("Looked at item by item: %(kinds)s. Items of one case share a run, so the first is the safer.")
        % {"kinds": said(richness_sentence(whole.unmet_by_examples))},
        _("The kinds met make up %(share)s of what is out there.")
        % {"share": said(about(whole.unmet_by_clusters.coverage))},
    ]
