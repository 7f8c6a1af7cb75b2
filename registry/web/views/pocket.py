"""The pocket sheet of a release: on paper, and on a device without a network."""

from __future__ import annotations

from hashlib import sha256

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.vary import vary_on_cookie

from registry.methods.crops import small_crop
from registry.models import Release
from registry.queries.identify import Scope, crop_mark, crop_marks, known_in
from registry.queries.identify.pocket import latest_list, pocket_data, printed_key
from registry.web.crops import source
from registry.web.views.browse import found


@vary_on_cookie  # its language is kept in one, and nothing else on this page asks who reads
def sheet(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Release, public_id, "line__maker", "casting", "merged_into")
    if it.survivor.pk != it.pk:
        return redirect("pocket", public_id=it.survivor.public_id)
    known = known_in(Scope("release", it.public_id), [it.pk])
    in_hand, in_pack = printed_key(known), printed_key(known, in_pack=True)
    given = {
        "release": it,
        "known": known,
        "in_hand": in_hand,
        "in_pack": in_pack if in_pack.lines != in_hand.lines else None,
        "latest": latest_list(),
        "today": timezone.now().date(),
    }
    return render(request, "registry/pocket.html", given)


def data(request: HttpRequest, public_id: str) -> HttpResponse:
    """What the sheet's script reads; 304 to who has it already."""
    it = found(Release, public_id, "merged_into").survivor
    known = known_in(Scope("release", it.public_id), [it.pk])
    crops = {
        state: reverse("pocket-crop", args=(it.public_id, mark.public_id))
        for state, mark in crop_marks(known).items()
    }
    answer = JsonResponse(pocket_data(known, str(it), latest_list(), crops))
    etag = quote_etag(sha256(answer.content).hexdigest()[:32])
    answer["ETag"], answer["Cache-Control"] = etag, "no-cache"
    return get_conditional_response(request, etag=etag, response=answer) or answer


def crop(request: HttpRequest, public_id: str, mark_id: str) -> HttpResponse:
    """A small picture of what a mark shows. A mark never moves, so its address always shows the same."""
    mark = crop_mark(found(Release, public_id).pk, mark_id)
    if mark is None:
        raise Http404
    try:
        small = small_crop(*source(mark))
    except OSError:
        raise Http404 from None
    answer = HttpResponse(small, content_type="image/jpeg")
    answer["Cache-Control"] = "public, max-age=3600"
    return answer


def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps opened sheets; asked for anew each time, so that a change reaches everybody."""
    answer = render(request, "registry/sw.js", content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer
