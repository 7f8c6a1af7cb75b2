"""One box for everything: castings, nicknames, details, bar codes, and public ids."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry.methods.identifiers import parse_id
from registry.queries import browse
from registry.queries.alike import near_by_words
from registry.queries.search import find

LONGEST = 120
SHOWN = 40


def search(request: HttpRequest) -> HttpResponse:
    asked = request.GET.get("q", "")[:LONGEST].strip()
    if leads_to := named_by_id(asked):
        return leads_to
    given = {
        "asked": asked,
        "found": find(asked, limit=SHOWN) if asked else [],
        "near": near_by_words(asked) if asked else [],
    }
    return render(request, "registry/search.html", given)


def named_by_id(asked: str) -> HttpResponse | None:
    """Straight to a record whose id was typed, in any spelling."""
    try:
        public_id = parse_id(asked)
    except ValueError:
        return None
    kind = browse.kind_of(public_id)
    return redirect(kind, public_id=public_id) if kind else None
