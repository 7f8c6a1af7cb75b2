"""A variant through time: as it stood, what differs between two points, and all that happened."""

from __future__ import annotations

from datetime import datetime

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from registry.methods.moments import parse_point
from registry.models import Variant
from registry.queries import history as timeline
from registry.queries import pages
from registry.queries.then import Past, Then, differences, past
from registry.sentences import said
from registry.web.people import reader
from registry.web.views.browse import found

RELATED = ("release__line__maker", "release__casting__maker")


def point(known: Past, asked: str) -> Then:
    """The variant at a revision, day or moment. Errors: Http404 saying what would be right."""
    try:
        was = known.then(parse_point(asked))
    except ValueError as fault:
        raise Http404(said(fault)) from None
    if was is None:
        told = _("%(variant)s had no such revision, or was not reported yet.")
        raise Http404(told % {"variant": known.variant})
    return was


def as_it_stood(request: HttpRequest, variant: Variant, asked: str) -> HttpResponse:
    """The variant as it was, and what its revision of that time changed."""
    was = point(past(variant), asked)
    parent = was.revision.parent
    changes = pages.changes_between(parent, was.revision) if parent else []
    given = {"variant": variant, "then": was, "revision": was.revision, "changes": changes}
    return render(request, "registry/revision.html", given | {"by_date": not asked.strip().isdecimal()})


def what_differs(request: HttpRequest, public_id: str) -> HttpResponse:
    """Between any two points; unless said, between the last revision and the one before it."""
    variant = found(Variant, public_id, *RELATED)
    newest = variant.revision_number
    asked = {
        "from": request.GET.get("from", "").strip() or str(max(newest - 1, 1)),
        "to": request.GET.get("to", "").strip() or str(newest),
    }
    known = past(variant)
    before, after = point(known, asked["from"]), point(known, asked["to"])
    return render(
        request,
        "registry/differences.html",
        {
            "variant": variant,
            "before": before,
            "after": after,
            "points": asked,
            "differences": differences(known, before, after),
        },
    )


def all_that_happened(request: HttpRequest, public_id: str) -> HttpResponse:
    variant = found(Variant, public_id, *RELATED)
    before = request.GET.get("before")
    try:
        until = parse_point(before) if before else None
    except ValueError as fault:
        raise Http404(said(fault)) from None
    events = timeline.history(variant, reader(request), until if isinstance(until, datetime) else None)
    earlier = events[-1].at if len(events) == timeline.MOST else None
    given = {"variant": variant, "events": events, "earlier": earlier}
    return render(request, "registry/history.html", given)
