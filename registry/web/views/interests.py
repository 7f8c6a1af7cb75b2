"""Say that one sells something, so that one's votes there do not count."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import Interest, Release
from registry.web.forms.account import InterestForm
from registry.web.people import signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found


@login_required
def declare(request: HttpRequest, public_id: str) -> HttpResponse:
    """Of this release, its casting, all of its line, or all of its maker."""
    release = found(Release, public_id, "casting", "line__maker")
    form = InterestForm(release, request.POST if request.method == "POST" else None)
    if form.is_valid() and attempt(request, form, actions.declare_interest, thing=form.thing()):
        words = _("Noted that you sell %(thing)s. Your votes there do not count.")
        messages.success(request, words % {"thing": form.thing()})
        return redirect("account")
    given = {"release": release, "form": form}
    return render(request, "registry/interest.html", given, status=status_for(form))


@login_required
@require_POST
@said_plainly
def end(request: HttpRequest, public_id: str) -> HttpResponse:
    actions.end_interest(interest=found(Interest, public_id), by=signed_in(request), at=timezone.now())
    messages.success(request, _("Noted that you no longer sell it. What you vote from now on counts again."))
    return redirect("account")
