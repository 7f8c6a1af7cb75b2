"""One box for everything: castings, nicknames, details, bar codes, and public ids."""

from __future__ import annotations

import re
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry.methods.identifiers import parse_gtin, parse_id
from registry.queries import browse
from registry.queries.alike import is_list, near_by_words
from registry.queries.search import find_exactly, find_nearly, packs_near
from registry.web.glossary import anchor_of

LONGEST = 120
SHOWN = 40
DIGITS = re.compile(r"[\s-]*(?:[0-9][\s-]*){7,15}")
"""A bar code, and what may be one with a digit more or less."""


def search(request: HttpRequest) -> HttpResponse:
    asked = request.GET.get("q", "")[:LONGEST].strip()
    if leads_to := named_by_id(asked):
        return leads_to
    found = find_exactly(asked, limit=SHOWN) if asked else []
    given = told_of_code(asked) if DIGITS.fullmatch(asked) else told_of_words(asked, bool(found))
    return render(
        request, "registry/search.html", {"asked": asked, "found": found, "anchor": anchor_of(asked), **given}
    )


def told_of_words(asked: str, is_found: bool) -> dict[str, Any]:
    """The variants nearest to several details; where nothing was found, what is spelled nearly so goes before them."""
    alike = find_nearly(asked, limit=SHOWN) if asked and not is_found else []
    near = near_by_words(asked) if is_list(asked) or not (is_found or alike) else []
    return {"near": near, "alike": [] if near else alike}


def told_of_code(asked: str) -> dict[str, Any]:
    """The whole code; or what is wrong with it, and the packs whose code is one slip away."""
    try:
        return {"code": parse_gtin(asked)}
    except ValueError as error:
        return {"wrong": error.args[0], "alike": packs_near(asked)}


def named_by_id(asked: str) -> HttpResponse | None:
    """Straight to a record whose id was typed, in any spelling."""
    try:
        public_id = parse_id(asked)
    except ValueError:
        return None
    kind = browse.kind_of(public_id)
    return redirect(kind, public_id=public_id) if kind else None
