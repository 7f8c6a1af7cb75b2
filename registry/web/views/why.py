"""Why a detail stands as it does. One page; alone, it opens inside its variant's page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from registry.models import Claim
from registry.queries.why import RELATED, explained
from registry.web.people import reader
from registry.web.views.browse import found


def claim(request: HttpRequest, public_id: str) -> HttpResponse:
    told = explained(found(Claim, public_id, *RELATED), reader(request))
    template = "registry/_why.html" if request.htmx else "registry/why.html"  # type: ignore[attr-defined]
    answer = render(request, template, {"it": told, "claim": told.claim})
    patch_vary_headers(answer, ["HX-Request"])
    return answer
