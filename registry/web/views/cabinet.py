"""My cabinet: what I own. Seen by me alone."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import CabinetItem, Release
from registry.queries import own
from registry.web.forms.account import ChangeItemForm, ItemForm
from registry.web.people import signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found


@login_required
@never_cache
def cabinet(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/cabinet.html", {"items": own.cabinet(signed_in(request))})


@login_required
@never_cache
def put(request: HttpRequest, public_id: str) -> HttpResponse:
    """Put a release in, with or without knowing which variant it is."""
    release = found(Release, public_id, "line", "casting")
    data = request.POST if request.method == "POST" else None
    form = ItemForm(release, data, initial={"variant": request.GET.get("variant")})
    if form.is_valid() and attempt(request, form, actions.put_item, release=release, **form.cleaned_data):
        messages.success(request, f"{release} is in your cabinet.")
        return redirect("cabinet")
    given = {"release": release, "form": form}
    return render(request, "registry/cabinet_item.html", given, status=status_for(form))


def own_item(request: HttpRequest, public_id: str) -> CabinetItem:
    item = found(CabinetItem, public_id, "release__line", "release__casting", "variant")
    if item.member_id != request.user.pk:
        raise Http404
    return item


@login_required
@never_cache
def change(request: HttpRequest, public_id: str) -> HttpResponse:
    """What I know now: which variant it is, how many, a note."""
    item = own_item(request, public_id)
    words = {field: getattr(item, field) for field in ("condition", "count", "to_swap", "note", "revision")}
    variant = item.variant.public_id if item.variant else None
    data = request.POST if request.method == "POST" else None
    form = ChangeItemForm(item.release, data, initial={**words, "variant": variant})
    if form.is_valid():
        said = dict(form.cleaned_data)
        revision = said.pop("revision")
        if attempt(request, form, actions.change_item, item=item, expected_revision=revision, **said):
            return redirect("cabinet")
    given = {"release": item.release, "item": item, "form": form}
    return render(request, "registry/cabinet_item.html", given, status=status_for(form))


@login_required
@require_POST
@said_plainly
def take_out(request: HttpRequest, public_id: str) -> HttpResponse:
    item = own_item(request, public_id)
    actions.take_item_out(item=item, by=signed_in(request), at=timezone.now())
    messages.success(request, f"{item.release} is out of your cabinet.")
    return redirect("cabinet")
