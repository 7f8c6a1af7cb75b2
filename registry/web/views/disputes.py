"""Object to a detail, see both sides, vote on both with one form, bring photographs, take back, close."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import Claim, Dispute, HeldDispute
from registry.queries import disputes
from registry.queries.evidence import own_examples
from registry.web.forms.review import DisputeForm, PhotoForm, ReasonForm, SideForm
from registry.web.people import note_address, reader, signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found


@login_required
def open_dispute(request: HttpRequest, public_id: str) -> HttpResponse:
    claim = found(Claim, public_id, "variant__release", "trait__merged_into", "state")
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = DisputeForm(claim, *sent)
    if form.is_valid():
        said = dict(form.cleaned_data)
        picture = said.pop("photo")
        said["data"] = picture.read() if picture else None
        dispute = attempt(request, form, actions.open_dispute, claim=claim, **said)
        if isinstance(dispute, HeldDispute):
            return render(request, "registry/dispute_held.html", {"held": dispute}, status=202)
        if dispute:
            return redirect("dispute", public_id=dispute.public_id)
    given = {"claim": claim, "form": form}
    return render(request, "registry/dispute_open.html", given, status=status_for(form))


def dispute(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Dispute, public_id, *disputes.RELATED)
    return render(request, "registry/dispute.html", page_of(request, it))


def page_of(request: HttpRequest, it: Dispute, **forms: Any) -> dict[str, Any]:
    """Both sides, and the forms that this reader may use."""
    member = reader(request)
    page = disputes.dispute_page(it, member)
    given: dict[str, Any] = {
        "dispute": it,
        "page": page,
        "photo_form": PhotoForm(),
        "close_form": ReasonForm(auto_id="close_%s"),
    }
    if it.claim and member:
        given["side_form"] = SideForm(it, own_examples(member, it.claim.variant.release))
    return given | forms


@login_required
@require_POST
def vote(request: HttpRequest, public_id: str) -> HttpResponse:
    """One answer, kept as a vote on one side or on both."""
    it = found(Dispute, public_id, *disputes.RELATED)
    if it.claim is None:
        raise Http404
    form = SideForm(it, own_examples(signed_in(request), it.claim.variant.release), request.POST)
    if form.is_valid() and attempt(request, form, actions.vote_on_sides, dispute=it, **form.said()):
        note_address(request)
        messages.success(request, _("Your vote is kept."))
        return redirect("dispute", public_id=it.public_id)
    return render(request, "registry/dispute.html", page_of(request, it, side_form=form), status=422)


@login_required
@require_POST
def add_photo(request: HttpRequest, public_id: str) -> HttpResponse:
    """A photograph makes the objection count; its page is where it is marked."""
    it = found(Dispute, public_id, *disputes.RELATED)
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        said = dict(form.cleaned_data)
        data = said.pop("photo").read()
        photo = attempt(request, form, actions.attach_photo, data=data, dispute=it, **said)
        if photo:
            return redirect("photo", public_id=photo.public_id)
    return render(request, "registry/dispute.html", page_of(request, it, photo_form=form), status=422)


@login_required
@require_POST
@said_plainly
def withdraw(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Dispute, public_id, "claim__variant__release", "statement__release")
    actions.withdraw_dispute(dispute=it, by=signed_in(request), at=timezone.now())
    return redirect("dispute", public_id=public_id)


@login_required
@require_POST
def close(request: HttpRequest, public_id: str) -> HttpResponse:
    """A moderator upholds the detail as listed, with a reason."""
    it = found(Dispute, public_id, *disputes.RELATED)
    form = ReasonForm(request.POST, auto_id="close_%s")
    if form.is_valid() and attempt(request, form, actions.close_dispute, dispute=it, **form.cleaned_data):
        return redirect("dispute", public_id=public_id)
    return render(request, "registry/dispute.html", page_of(request, it, close_form=form), status=422)
