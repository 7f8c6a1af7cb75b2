"""The hunt: what I still lack, at the depth I collect. Seen by me alone."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie

from registry import actions
from registry.models import Assortment
from registry.queries.hunt import HuntPage, chosen, hunt_of, hunt_page
from registry.queries.identify.pocket import latest_list
from registry.queries.packs import behind_code, codes_of
from registry.queries.sightings import last_place
from registry.web.forms.hunt import CodeForm, HuntForm
from registry.web.naming import named
from registry.web.people import signed_in
from registry.web.refusals import attempt, status_for


def what_is_missing(request: HttpRequest, **limits: Any) -> dict[str, Any]:
    """The hunt of who asks, one page of what is missing, and the one assortment asked for, if any."""
    hunt = hunt_of(signed_in(request))
    assortment = None
    if asked := request.GET.get("assortment"):
        assortment = named(Assortment, asked)
        if assortment is None:
            raise Http404
    try:
        page: HuntPage = hunt_page(hunt, request.GET.get("after", ""), assortment, **limits)
    except ValueError:
        raise Http404 from None
    return {"hunt": hunt, "lines": chosen(hunt, "lines"), "page": page, "assortment": assortment}


@login_required
@never_cache
def hunt(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/hunt.html", what_is_missing(request))


@login_required
@never_cache
def depth(request: HttpRequest) -> HttpResponse:
    """How deep I collect, kept for the next time."""
    kept = hunt_of(signed_in(request))
    form = HuntForm(kept, request.POST if request.method == "POST" else None)
    if form.is_valid():
        said = dict(form.cleaned_data)
        said |= {name: list(said[name]) for name in ("lines", "traits")}
        if attempt(request, form, actions.set_hunt, expected_revision=said.pop("revision"), **said):
            messages.success(request, _("Your choice is kept."))
            return redirect("hunt")
    return render(request, "registry/hunt_depth.html", {"form": form}, status=status_for(form))


ON_SHEET = 120


@login_required
@never_cache
@ensure_csrf_cookie
def sheet(request: HttpRequest) -> HttpResponse:
    """To print, or to keep on a device and hunt by without a network."""
    given = what_is_missing(request, limit=ON_SHEET)
    return render(
        request,
        "registry/hunt_sheet.html",
        {**given, "latest": latest_list(), "today": timezone.now().date()},
    )


@login_required
@never_cache
def data(request: HttpRequest) -> HttpResponse:
    """What the sheet's script needs to take notes: the same releases, with all that one may count of each."""
    member = signed_in(request)
    page: HuntPage = what_is_missing(request, limit=ON_SHEET)["page"]
    country, region = last_place(member)
    releases = {
        row.release.public_id: {
            "name": str(row.release),
            "variants": [[variant.public_id, variant.title] for variant in row.listed],
            "seen": row.seen,
        }
        for row in page.rows
    }
    codes = codes_of({row.release.pk for row in page.rows})
    return JsonResponse(
        {
            "member": member.public_id,
            "list": latest_list(),
            "place": {"country": country, "region": region},
            "releases": releases,
            "codes": codes,
        }
    )


def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps the sheet; asked for anew each time, so that a change reaches everybody."""
    answer = render(request, "registry/hunt_sw.js", content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer


@login_required
@never_cache
def code(request: HttpRequest) -> HttpResponse:
    """A bar code names a pack, and so one of these releases; which of them I own, and a tap for the one I hold."""
    form = CodeForm(request.GET if "code" in request.GET else None)
    given: dict[str, Any] = {"form": form}
    if form.is_valid():
        given["found"] = behind_code(form.cleaned_data["code"], signed_in(request))
    return render(request, "registry/hunt_code.html", given, status=status_for(form))
