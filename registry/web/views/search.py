"""One box for everything: castings, nicknames, details, bar codes, and public ids."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry.methods.identifiers import parse_id
from registry.queries import browse
from registry.queries.alike import near_by_words
from registry.queries.search import find_exactly, find_nearly

LONGEST = 120
SHOWN = 40


def search(request: HttpRequest) -> HttpResponse:
    asked = request.GET.get("q", "")[:LONGEST].strip()
    if leads_to := named_by_id(asked):
        return leads_to
    exact = find_exactly(asked, limit=SHOWN) if asked else []
    near = near_by_words(asked) if asked else []
    given = {
        "asked": asked,
        "near": near,
        "found": exact,
        "alike": find_nearly(asked, limit=SHOWN) if asked and not exact and not near else [],
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
