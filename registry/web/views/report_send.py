"""Report a find: the last look. What is said, what speaks against sending, likely duplicates, and the button."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from registry import actions
from registry.errors import DifferenceMissing, NearTwin, RegistryError, TooMany, TwinExists
from registry.models import Submission, Variant
from registry.queries import reporting
from registry.queries.alike import near_elsewhere
from registry.sentences import said
from registry.web import drafts
from registry.web.naming import named
from registry.web.people import signed_in
from registry.web.steps import STEPS, own_draft, where_it_went

MENDED_AT = (
    (
        (
            "proposes.casting",
            "proposes.release",
            "proposes.pack",
            "release",
            "casting",
            "differs_from",
            "variant",
        ),
        "draft-which",
    ),
    (("examples", "photos", "photo", "country", "region", "found_"), "draft-photos"),
    (("sightings",), "draft-sightings"),
    (("marks", "xywh", "example"), "draft-marks"),
)


@login_required
def check(request: HttpRequest, public_id: str) -> HttpResponse:
    """Show the whole report; on POST, send it."""
    draft = own_draft(request, public_id)
    if gone := where_it_went(draft):
        return gone
    if request.method != "POST":
        return render(request, "registry/report/check.html", last_look(draft))
    try:
        if confirmed := request.POST.get("confirm"):
            draft = confirm_another(request, draft, confirmed)
        sent = actions.send_submission(submission=draft, by=signed_in(request), at=timezone.now())
    except TooMany:
        raise
    except RegistryError as refusal:
        return render(
            request, "registry/report/check.html", last_look(draft) | told(refusal, draft), status=422
        )
    assert sent.variant is not None
    messages.success(request, _("Your report is sent. Everybody sees it now, and others vote on it."))
    return redirect("variant", public_id=sent.variant.public_id)


def confirm_another(request: HttpRequest, draft: Submission, field: str) -> Submission:
    """The author has seen the known thing of a similar name, and says that theirs is another."""
    content = drafts.say_is_new(draft.content, field)
    return actions.edit_draft(submission=draft, by=signed_in(request), at=timezone.now(), content=content)


def last_look(draft: Submission) -> dict[str, Any]:
    details = reporting.details_of(draft)
    content = draft.content
    marked = {str(mark.get("trait")) for mark in content.get("marks") or [] if mark.get("of") != "base"}
    claims = reporting.summary(draft, details)
    for claim, kept in zip(claims, content.get("claims") or [], strict=True):
        claim["is_marked"] = str(kept.get("trait")) in marked
    return {
        "draft": draft,
        "steps": STEPS,
        "here": "draft-check",
        "claims": claims,
        "known": reporting.known_alike(draft, details),
        "lacking": reporting.lacks_difference(draft),
        "near": near_elsewhere(draft),
        "photo_count": draft.photos.shown().count(),
        "item_count": len(content.get("examples") or []),
        "mark_count": len(content.get("marks") or []),
        "sighting_count": len(content.get("sightings") or []),
        "proposes": drafts.proposed(content),
    }


def told(refusal: RegistryError, draft: Submission) -> dict[str, Any]:
    """The refusal, where to mend it, and what it names: the twin, or the near ones to confirm against."""
    twin = named(Variant, str(refusal.extra.get("twin", ""))) if isinstance(refusal, TwinExists) else None
    named_alike = refusal.extra.get("twins", []) if isinstance(refusal, NearTwin) else []
    is_without_other = isinstance(refusal, DifferenceMissing) and draft.differs_from is None
    mend = "draft-which" if is_without_other else where_to_mend(refusal.field)
    return {
        "refusal": refusal,
        "why": said(refusal),
        "mend": mend,
        "twin": twin,
        "named_alike": named_alike,
    }


def where_to_mend(field: str) -> str:
    """The step of the report that holds the field at fault."""
    for starts, step in MENDED_AT:
        if field.startswith(starts):
            return step
    return "draft-details"
