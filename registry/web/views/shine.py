"""How shiny the paint in a mark looks. One page; alone, it opens beside the mark on its photograph's page."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from registry.errors import NotFound
from registry.models import Mark
from registry.queries import evidence, shine
from registry.sentences import said
from registry.web.people import reader
from registry.web.views.browse import found


def mark(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Mark, public_id, *shine.RELATED)
    photo = evidence.one_photo(it.photo.public_id, reader(request))
    if photo is None or photo.taken_down_at or it.removed_at:
        raise Http404
    try:
        told = shine.judged(it)
    except NotFound as refusal:
        raise Http404(said(refusal)) from refusal
    template = "registry/_shine.html" if request.htmx else "registry/shine.html"  # type: ignore[attr-defined]
    answer = render(request, template, {"it": told, "mark": it})
    patch_vary_headers(answer, ["HX-Request"])
    return answer
