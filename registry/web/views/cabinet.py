"""My cabinet: what I own. Seen by me alone."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from registry import actions
from registry.methods.cabinet_sheet import write_cabinet
from registry.models import CabinetItem, Release, Variant
from registry.queries import own
from registry.queries.cabinet import cabinet_rows
from registry.web.downloads import attached
from registry.web.forms.cabinet import CabinetSheetForm, ChangeItemForm, ItemForm
from registry.web.paging import page_number
from registry.web.people import signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found

KEPT = ("condition", "count", "to_swap", "wear", "note", "revision")


@login_required
@never_cache
def cabinet(request: HttpRequest) -> HttpResponse:
    only = request.GET.get("only", "")
    if only not in own.ONLY:
        raise Http404
    shelf = own.cabinet(signed_in(request), only, page_number(request))
    return render(request, "registry/cabinet.html", {"shelf": shelf, "only": only, "choices": own.ONLY})


@login_required
@never_cache
def put(request: HttpRequest, public_id: str) -> HttpResponse:
    """Put a release in, with or without knowing which variant it is; `tap` asks nothing and does it at once."""
    release = found(Release, public_id, "line", "casting", "merged_into")
    if "tap" in request.POST:
        return put_at_once(request, release)
    data = request.POST if request.method == "POST" else None
    said = {name: request.GET[name] for name in ("variant", "condition") if name in request.GET}
    form = ItemForm(release, data, initial=said)
    if form.is_valid() and attempt(request, form, actions.put_item, release=release, **form.cleaned_data):
        messages.success(request, _("%(thing)s is in your cabinet.") % {"thing": release})
        return redirect("cabinet")
    given = {"release": release, "form": form}
    return render(request, "registry/cabinet_item.html", given, status=status_for(form))


@said_plainly
def put_at_once(request: HttpRequest, release: Release) -> HttpResponse:
    """One tap on "I own one": which, and in what condition, is in the address. Then back to where it was tapped."""
    variant = found(Variant, request.GET["variant"], "merged_into") if "variant" in request.GET else None
    actions.own_one(
        by=signed_in(request),
        at=timezone.now(),
        release=release,
        variant=variant and variant.survivor,
        condition=request.GET.get("condition", ""),
    )
    messages.success(request, _("%(thing)s is in your cabinet.") % {"thing": variant or release})
    if request.GET.get("back") == "hunt":
        place = {name: request.GET[name] for name in ("assortment", "after") if name in request.GET}
        return redirect(reverse("hunt", query=place))
    if variant:
        return redirect("variant", public_id=variant.survivor.public_id)
    return redirect("release", public_id=release.survivor.public_id)


def own_item(request: HttpRequest, public_id: str) -> CabinetItem:
    item = found(CabinetItem, public_id, "release__line", "release__casting", "variant", "pack_version")
    if item.member_id != request.user.pk:
        raise Http404
    return item


@login_required
@never_cache
def change(request: HttpRequest, public_id: str) -> HttpResponse:
    """What I know now: which variant it is, how many, a note."""
    item = own_item(request, public_id)
    words = {field: getattr(item, field) for field in KEPT}
    for field, named in (("variant", item.variant), ("pack_version", item.pack_version)):
        words[field] = named and named.public_id
    data = request.POST if request.method == "POST" else None
    form = ChangeItemForm(item.release, data, initial=words)
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
    messages.success(request, _("%(thing)s is out of your cabinet.") % {"thing": item.release})
    return redirect("cabinet")


@login_required
@never_cache
def take_along(request: HttpRequest) -> HttpResponse:
    answer = attached("text/csv; charset=utf-8", "cabinet.csv")
    answer.write(write_cabinet(cabinet_rows(signed_in(request))))
    return answer


@login_required
@never_cache
def bring_file(request: HttpRequest) -> HttpResponse:
    """First a file is tried, and everything wrong with it is shown; then, if nothing is, it is kept."""
    form = CabinetSheetForm(request.POST, request.FILES) if request.method == "POST" else CabinetSheetForm()
    given: dict[str, Any] = {"form": form}
    if form.is_valid():
        data, keeps = form.data_sent(), "keep" in request.POST and not form.cleaned_data["file"]
        done = attempt(request, form, actions.import_cabinet, data=data, dry_run=not keeps)
        if done and keeps:
            counts = {"new": done.new, "changed": done.changed, "known": done.known}
            messages.success(
                request, _("%(new)s put in, %(changed)s changed, %(known)s as they were.") % counts
            )
            return redirect("cabinet")
        given |= {"done": done, "text": data.decode(errors="replace")}
    return render(request, "registry/cabinet_file.html", given, status=status_for(form))
