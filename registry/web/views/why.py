"""Why a detail stands as it does. One page; alone, it opens inside its variant's page."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from registry.models import Release
from registry.queries.why import explained
from registry.web.people import reader


def claim(request: HttpRequest, public_id: str) -> HttpResponse:
    try:
        told = explained(public_id, reader(request))
    except Release.DoesNotExist:
        raise Http404 from None
    template = "registry/_why.html" if request.htmx else "registry/why.html"  # type: ignore[attr-defined]
    answer = render(request, template, {"it": told, "claim": told.claim})
    patch_vary_headers(answer, ["HX-Request"])
    return answer
