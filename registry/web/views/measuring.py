"""Measure on a photograph: try it, keep it, take it back; and what others have measured there."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry import actions
from registry.errors import RegistryError
from registry.methods.measure import full_size_um
from registry.models import Measurement, Photo
from registry.queries import evidence
from registry.queries.measured import measured_on
from registry.web.forms.measuring import MeasureForm, RemoveMeasurementForm
from registry.web.people import reader
from registry.web.refusals import attempt, tell
from registry.web.views.photos import seen_photo


def measure(request: HttpRequest, public_id: str) -> HttpResponse:
    it = seen_photo(request, public_id)
    if it.taken_down_at or not it.is_published:
        raise Http404
    if request.method != "POST":
        return show(request, it)
    if reader(request) is None:
        return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)
    do = request.POST.get("do", "")
    make = form_makers(request, it).get("remove" if do == "remove" else "measure")
    if make is None or do not in ("try", "keep", "remove"):
        raise Http404
    form = make(request.POST)
    if not form.is_valid():
        return show(request, it, do, form)
    if do == "try":
        return show(request, it, do, form, tried(it, form))
    done = keep(request, it, form) if do == "keep" else remove(request, form)
    return redirect("measure", public_id=it.public_id) if done else show(request, it, do, form)


def show(
    request: HttpRequest,
    it: Photo,
    do: str = "",
    sent: Form | None = None,
    answer: dict[str, Any] | None = None,
) -> HttpResponse:
    """The page; the form just sent keeps what was typed."""
    named = "remove" if do == "remove" else "measure"
    forms = {
        name: sent if sent is not None and name == named else make()
        for name, make in form_makers(request, it).items()
    }
    given = {
        "photo": it,
        "release": evidence.release_of(it),
        "measured": measured_on(it),
        "forms": forms,
        "answer": answer,
    }
    status = 422 if sent is not None and sent.errors else 200
    return render(request, "registry/measure.html", given, status=status)


def form_makers(request: HttpRequest, it: Photo) -> dict[str, Any]:
    """The forms that this reader may use."""
    release, member = evidence.release_of(it), reader(request)
    if member is None or release is None:
        return {}
    casting = release.casting.survivor
    shown = evidence.examples_shown(it)
    own = Measurement.objects.standing().filter(photo=it)
    own = own if member.is_moderator else own.filter(by=member)
    return {
        "measure": partial(MeasureForm, evidence.claims_to_mark(it), shown, casting.wheelbase_um),
        "remove": partial(RemoveMeasurementForm, own, auto_id="remove_%s"),
    }


def tried(it: Photo, form: MeasureForm) -> dict[str, Any] | None:
    """What it comes to, without keeping it; nothing where the form says why not."""
    example = form.cleaned_data["example"]
    try:
        reading = actions.work_out(photo=it, example=example, **form.said()).reading
    except RegistryError as refusal:
        tell(form, refusal)
        return None
    return {
        "length_um": reading.length_um,
        "error_um": reading.error_um,
        "full_size_um": full_size_um(reading.length_um, example.release.line.scale),
        "scale": example.release.line.scale,
        "caveats": reading.caveats,
    }


def keep(request: HttpRequest, it: Photo, form: MeasureForm) -> Any:
    about = {name: form.cleaned_data[name] for name in ("claim", "example")}
    return attempt(request, form, actions.measure_on_photo, photo=it, **about, **form.said())


def remove(request: HttpRequest, form: RemoveMeasurementForm) -> Any:
    return attempt(request, form, actions.remove_measurement, **form.cleaned_data)
