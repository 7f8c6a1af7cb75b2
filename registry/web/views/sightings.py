"""Report what was seen: on a peg, in a case, in a collection."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry import actions
from registry.models import Release
from registry.web.forms.sighting import SightingForm
from registry.web.refusals import attempt, status_for
from registry.web.views.browse import found


@login_required
def report_sighting(request: HttpRequest, public_id: str) -> HttpResponse:
    release = found(Release, public_id, "line", "casting")
    form = SightingForm(release, request.POST if request.method == "POST" else None)
    if form.is_valid() and attempt(
        request, form, actions.report_sighting, release=release, **form.sighting()
    ):
        messages.success(request, "Your sighting is kept. Thank you for counting.")
        return redirect("release", public_id=release.public_id)
    given = {"release": release, "form": form}
    return render(request, "registry/sighting.html", given, status=status_for(form))
