"""Gloss meter readings for one detail: what was read, add one, take it back."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry import actions
from registry.models import Claim, GlossReading, Member
from registry.queries.gloss import examples_to_read, gloss_for
from registry.web.forms.gloss import GlossForm, RemoveGlossForm
from registry.web.people import reader
from registry.web.refusals import attempt
from registry.web.views.browse import found

RELATED = ("variant__release__line", "variant__release__casting", "trait__merged_into", "state__merged_into")


def gloss(request: HttpRequest, public_id: str) -> HttpResponse:
    claim = found(Claim, public_id, *RELATED)
    if not claim.trait.survivor.is_finish:
        raise Http404
    if request.method != "POST":
        return show(request, claim)
    member = reader(request)
    if member is None:
        return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)
    do = request.POST.get("do", "")
    make = form_makers(claim, member).get(do)
    if make is None:
        raise Http404
    form = make(request.POST)
    if form.is_valid() and DO[do](request, claim, form):
        return redirect("gloss", public_id=claim.public_id)
    return show(request, claim, do, form)


def show(request: HttpRequest, claim: Claim, do: str = "", sent: Form | None = None) -> HttpResponse:
    """The page; the form just sent keeps what was typed."""
    member = reader(request)
    makers = form_makers(claim, member) if member else {}
    given = {
        "claim": claim,
        "gloss": gloss_for([claim])[claim.pk],
        "forms": {name: sent if name == do else make() for name, make in makers.items()},
    }
    return render(request, "registry/gloss.html", given, status=422 if sent is not None else 200)


def form_makers(claim: Claim, member: Member) -> dict[str, Any]:
    """The forms that this member may use."""
    own = GlossReading.objects.standing().on([claim])
    own = own if member.is_moderator else own.filter(by=member)
    return {
        "keep": partial(GlossForm, examples_to_read(claim, member)),
        "remove": partial(RemoveGlossForm, own.order_by("pk"), auto_id="remove_%s"),
    }


def keep(request: HttpRequest, claim: Claim, form: GlossForm) -> Any:
    return attempt(request, form, actions.add_gloss_reading, claim=claim, **form.said())


def remove(request: HttpRequest, claim: Claim, form: RemoveGlossForm) -> Any:
    return attempt(request, form, actions.remove_gloss_reading, **form.cleaned_data)


DO: dict[str, Any] = {"keep": keep, "remove": remove}
