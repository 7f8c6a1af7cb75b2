"""What waits for a moderator's judgement of people: concerns, held disputes, and deeds that take two."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.actions import two_persons
from registry.models import Concern, HeldDispute, PendingDeed, Photo, Submission, Variant
from registry.queries import moderation as read
from registry.queries.opened import one_opened
from registry.templatetags.castlore import address
from registry.web.forms.moderation import ConcernForm, TellForm
from registry.web.forms.review import ReasonForm
from registry.web.people import signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found
from registry.web.views.moderation import moderators_only
from registry.web.views.photos import seen_photo


@moderators_only
def concern(request: HttpRequest, public_id: str) -> HttpResponse:
    """Who and what it is about; on POST, close it with what was found."""
    it = found(Concern, public_id, "claim__variant", "closed_by", "told_by")
    form = ConcernForm(it, request.POST if request.method == "POST" else None)
    if form.is_valid() and attempt(request, form, actions.close_concern, concern=it, **form.cleaned_data):
        messages.success(request, _("The concern is closed."))
        return redirect("moderation")
    given = {"page": read.concern_page(it), "form": form}
    return render(request, "registry/concern.html", given, status=status_for(form))


@login_required
def tell(request: HttpRequest, kind: str, public_id: str) -> HttpResponse:
    """Anybody with an account tells the moderators what is wrong with a photograph, a variant or an opened draft."""
    it: Photo | Variant | Submission | None = None
    if kind == "photo":
        it = seen_photo(request, public_id)
    elif kind == "variant":
        it = found(Variant, public_id, "release")
    elif kind == "submission":
        it = one_opened(public_id)
    if it is None:
        raise Http404
    form = TellForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and attempt(request, form, actions.tell_moderators, about=it, **form.cleaned_data):
        messages.success(request, _("The moderators are told. Thank you."))
        return redirect(address(it))
    return render(request, "registry/tell.html", {"about": it, "form": form}, status=status_for(form))


@moderators_only
def held(request: HttpRequest, public_id: str) -> HttpResponse:
    """A dispute that was held back; on POST, decline it with a reason."""
    it = found(HeldDispute, public_id, *read.HELD_RELATED)
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and attempt(request, form, actions.decline_held, held=it, **form.cleaned_data):
        messages.success(request, _("It is declined. Whoever opened it can read why."))
        return redirect("moderation")
    return render(request, "registry/held.html", {"held": it, "form": form}, status=status_for(form))


@moderators_only
@require_POST
@said_plainly
def release(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(HeldDispute, public_id)
    dispute = actions.release_held(held=it, by=signed_in(request), at=timezone.now())
    messages.success(request, _("It is a dispute like any other now."))
    return redirect("dispute", public_id=dispute.public_id)


@moderators_only
@require_POST
@said_plainly
def decide(request: HttpRequest, public_id: str) -> HttpResponse:
    """Confirm what another moderator asked for, or decline it."""
    it, by, at = found(PendingDeed, public_id), signed_in(request), timezone.now()
    if request.POST.get("do") == "confirm":
        two_persons.confirm(pending=it, by=by, at=at)
        messages.success(request, _("Confirmed and done."))
    else:
        two_persons.decline(pending=it, by=by, at=at)
        messages.success(request, _("Declined. Nothing was done."))
    return redirect("moderation")
