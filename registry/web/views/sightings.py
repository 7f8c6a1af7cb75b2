"""Report what was seen: a find, a full count, a comparison; or a whole file of them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from registry import actions
from registry.errors import RegistryError
from registry.models import Release, Sighting
from registry.queries.evidence import own_examples
from registry.queries.sightings import last_place, pictures_of
from registry.sentences import said
from registry.web.forms.sighting import WAYS, FindForm, SheetForm, SightingForm
from registry.web.people import signed_in
from registry.web.refusals import attempt, status_for
from registry.web.views.browse import found


@login_required
def report_sighting(request: HttpRequest, public_id: str) -> HttpResponse:
    release = found(Release, public_id, "line", "casting")
    way = request.GET.get("as", "find")
    if way not in WAYS:
        raise Http404
    form = form_of(request, release, WAYS[way])
    if form.is_valid():
        kept = attempt(request, form, actions.report_sighting, release=release, **form.sighting())
        if kept:
            messages.success(request, _("Your sighting is kept. Thank you for counting."))
            add_photo(request, form, kept)
            return redirect("release", public_id=release.public_id)
    given = {
        "release": release,
        "form": form,
        "way": way,
        "ways": [(name, kind.title) for name, kind in WAYS.items()],
        "pictures": pictures_of(form.variants),
    }
    return render(request, "registry/sighting.html", given, status=status_for(form))


def form_of(request: HttpRequest, release: Release, kind: type[SightingForm]) -> SightingForm:
    member = signed_in(request)
    more: dict[str, Any] = {}
    if issubclass(kind, FindForm):
        more["examples"] = own_examples(member, release)
    if request.method == "POST":
        return kind(release, request.POST, request.FILES, **more)
    one_of = {f"n_{request.GET.get('variant', '')}": 1}  # who identified it comes with one in hand
    return kind(release, place=last_place(member), initial=one_of, **more)


def add_photo(request: HttpRequest, form: SightingForm, sighting: Sighting) -> None:
    """The picture that came with it. One that cannot be taken is no reason to lose what was counted."""
    file = form.cleaned_data["photo"]
    if not file:
        return
    try:
        actions.attach_photo(
            by=signed_in(request),
            at=timezone.now(),
            data=file.read(),
            sighting=sighting,
            licence=form.cleaned_data["licence"],
        )
    except RegistryError as refusal:
        messages.warning(request, _("The photograph was not taken: %(why)s") % {"why": said(refusal)})


@login_required
@never_cache
def import_sightings(request: HttpRequest) -> HttpResponse:
    """First a file is tried, and everything wrong with it is shown; then, if nothing is, it is kept."""
    form = SheetForm(request.POST, request.FILES) if request.method == "POST" else SheetForm()
    if not form.is_valid():
        return render(request, "registry/import.html", {"form": form}, status=status_for(form))
    data, keeps = form.data_sent(), "keep" in request.POST and not form.cleaned_data["file"]
    done = attempt(request, form, actions.import_sightings, data=data, dry_run=not keeps)
    if done and keeps:
        told = _("%(new)s kept, %(known)s known already. Thank you for counting.")
        messages.success(request, told % {"new": done.new, "known": done.known})
        return redirect("account")
    given = {"form": form, "done": done, "text": data.decode(errors="replace")}
    return render(request, "registry/import.html", given, status=status_for(form))
