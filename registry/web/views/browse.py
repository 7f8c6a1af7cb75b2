"""From maker and line to casting, release, pack and detail."""

from __future__ import annotations

from typing import Any, TypeVar

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from registry.models import (
    Acceptance,
    Assortment,
    Casting,
    Line,
    Maker,
    Pack,
    Proposable,
    State,
    Trait,
    Watch,
)
from registry.models.base import Identified
from registry.queries import browse
from registry.queries.abundance import release_abundance
from registry.queries.order import first_seen, release_sequence
from registry.queries.own import owned_of
from registry.queries.siblings import siblings
from registry.queries.tables import release_table
from registry.queries.trust import agreement_on
from registry.queries.watching import watch_on
from registry.web.briefly import order_in_brief, scarcity_in_brief
from registry.web.charts import share_lines, timeline_chart
from registry.web.downloads import csv_file, svg_file
from registry.web.looking import looking_at
from registry.web.people import reader
from registry.web.sharing import shared

T = TypeVar("T", bound=Identified)


def found(model: type[T], public_id: str, *related: str) -> T:
    """The record an id names, or 404."""
    row = browse.one(model, public_id, *related)
    if row is None:
        raise Http404
    return row


def survivor_page(thing: Identified) -> HttpResponse | None:
    """Where a merged record leads."""
    if isinstance(thing, Proposable) and thing.acceptance == Acceptance.MERGED:
        return redirect(str(thing._meta.model_name), public_id=thing.survivor.public_id)
    return None


def shown(request: HttpRequest, thing: Identified, **beside: Any) -> HttpResponse:
    """The page named after the kind of record, unless the record was merged into another."""
    name = str(thing._meta.model_name)
    return survivor_page(thing) or render(request, f"registry/{name}.html", {name: thing, **beside})


def own_watch_on(request: HttpRequest, thing: Identified) -> Watch | None:
    """The reader's own watch on a casting, an assortment or a line."""
    member = reader(request)
    return watch_on(member, str(thing._meta.model_name), thing.pk) if member else None


def home(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/home.html", {"page": browse.home()})


def lines(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/lines.html", {"makers": browse.makers()})


def maker(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Maker, public_id)
    return shown(request, it, lines=it.lines.order_by("name"), castings=browse.castings_of(maker=it))


def line(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Line, public_id, "maker")
    return shown(
        request,
        it,
        castings=browse.castings_of(line=it),
        assortments=it.assortments.order_by("opens_on", "name"),
        watch=own_watch_on(request, it),
    )


def casting(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Casting, public_id, "maker", "merged_into")
    return shown(request, it, releases=browse.releases_of(it), watch=own_watch_on(request, it))


def release(request: HttpRequest, public_id: str) -> HttpResponse:
    """The heart of the site: variants side by side, only where they differ."""
    it = browse.release_page(public_id)
    if it is None:
        raise Http404
    only_in_pack = request.GET.get("only") == "in-pack"
    among = siblings(it)
    shares = release_abundance(it, among)
    table = release_table(it, only_in_pack, among)
    n = len(table.rows)
    words = ngettext(
        "%(n)s known variant of %(release)s, side by side.",
        "%(n)s known variants of %(release)s, side by side.",
        n,
    )
    words = words if n else _("All about %(release)s.")
    return shown(
        request,
        it,
        table=table,
        shared=shared(
            request, it, str(it), words % {"n": n, "release": it}, [mark.photo for mark in table.marks]
        ),
        only_in_pack=only_in_pack,
        owned=owned_of(member, it) if (member := reader(request)) else [],
        shares=share_lines(shares),
        scarcity=scarcity_in_brief(shares),
        order=order_in_brief(release_sequence(it, localdate(), among)),
        assortments=[item.assortment for item in among.shipped_in],
    )


def pack(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Pack, public_id, "line__maker", "merged_into")
    return shown(
        request,
        it,
        contents=browse.pack_contents(it),
        versions=it.versions.order_by("id"),
        availability=it.availability.order_by("on"),
    )


def assortment(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Assortment, public_id, "line__maker")
    seen = first_seen(it)
    return shown(
        request,
        it,
        items=browse.assortment_items(it),
        cases=browse.case_contents(it),
        watch=own_watch_on(request, it),
        seen=seen,
        chart=timeline_chart(_("First seen in %(assortment)s") % {"assortment": it}, seen),
    )


def timeline_svg(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Assortment, public_id)
    chart = timeline_chart(_("First seen in %(assortment)s") % {"assortment": it}, first_seen(it))
    return svg_file(chart, "registry/drawing/timeline.svg", f"first-seen-{public_id}")


def timeline_csv(request: HttpRequest, public_id: str) -> HttpResponse:
    header = ["variant_id", "variant", "release_id", "release", "first_seen", "last_seen"]
    table = []
    for row in first_seen(found(Assortment, public_id)):
        variant, release = row.variant, row.variant.release
        named = [variant.public_id, variant.title, release.public_id, release.name]
        table.append([*named, row.first, row.last])
    return csv_file(header, table, f"first-seen-{public_id}")


def trait(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Trait, public_id, "line__maker", "casting__maker", "merged_into")
    return shown(
        request,
        it,
        states=browse.states_of(it),
        samples=browse.samples_of(it),
        looking=looking_at(it.kind),
        agreement=agreement_on(it),
    )


def state(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(State, public_id, "trait__line", "trait__casting", "merged_into")
    return shown(request, it, variants=browse.variants_with(it))
