"""How every step of a report works: show the draft's forms, take one of them, change the draft, show the step again.

A page has several small forms; the button pressed says by its `do` which one was sent. Nothing needs a script.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache

from registry import actions
from registry.models import Submission, SubmissionStatus
from registry.queries.opened import why_closed

from .forms.report import StepForm
from .refusals import attempt
from .tidy import tidy

Changes = dict[str, Any]
FormMakers = Mapping[str, Callable[..., StepForm]]

STEPS = (
    ("draft-which", _("Which one")),
    ("draft-details", _("What differs")),
    ("draft-photos", _("Photographs")),
    ("draft-marks", _("Marks")),
    ("draft-sightings", _("Sightings")),
    ("draft-check", _("Check and send")),
)


@dataclass(frozen=True)
class Step:
    """`makers`: the forms a draft is shown, by their `do`. `changes`: what a filled one does to the draft. `onward`:
    where the kept draft goes, where that may be another page than was wanted.
    """

    name: str
    template: str
    makers: Callable[[HttpRequest, Submission], FormMakers]
    changes: Mapping[str, Callable[[Submission, StepForm], Changes]]
    beside: Callable[[HttpRequest, Submission, Mapping[str, StepForm]], dict[str, Any]]
    onward: Callable[[Submission, str], str] = lambda draft, wanted: wanted


def own_draft(request: HttpRequest, public_id: str) -> Submission:
    """The member's own report, or 404: to others it does not exist."""
    mine = Submission.objects.filter(author=request.user.pk, public_id=public_id)
    related = ("casting__maker", "release__line", "release__casting", "variant", "differs_from")
    draft = mine.select_related(*related).first()
    if draft is None:
        raise Http404
    draft.content = tidy(draft.content)
    draft.closed = why_closed(draft)
    return draft


def where_it_went(draft: Submission) -> HttpResponse | None:
    """A report that is no draft any more has its result to show."""
    if draft.status == SubmissionStatus.SENT and draft.variant is not None:
        return redirect("variant", public_id=draft.variant.public_id)
    return redirect("account") if draft.status != SubmissionStatus.DRAFT else None


def view_of(step: Step) -> Callable[..., HttpResponse]:
    """The view of one step."""

    @login_required
    @never_cache
    def view(request: HttpRequest, public_id: str) -> HttpResponse:
        draft = own_draft(request, public_id)
        if gone := where_it_went(draft):
            return gone
        makers = step.makers(request, draft)
        forms: dict[str, StepForm] = {}
        do = request.POST.get("do", "") if request.method == "POST" else ""
        if do in makers:
            forms[do] = makers[do](request.POST, auto_id=f"{do}_%s")
            if forms[do].is_valid() and (kept := keep(request, draft, forms[do], step.changes[do])):
                wanted = next_step(request, step.name)
                return redirect(step.onward(kept, wanted), public_id=draft.public_id)
        forms = fresh(draft, makers) | forms
        given = {"draft": draft, "forms": forms, "steps": STEPS, **step.beside(request, draft, forms)}
        return render(request, step.template, given, status=422 if do else 200)

    return view


def fresh(draft: Submission, makers: FormMakers) -> dict[str, StepForm]:
    """Every form of a step as it stands before anybody types."""
    return {
        name: make(initial={"revision": draft.revision}, auto_id=f"{name}_%s")
        for name, make in makers.items()
    }


def next_step(request: HttpRequest, this: str) -> str:
    """The step that the pressed button leads to; else this one again."""
    wanted = request.POST.get("then", "")
    return wanted if wanted in dict(STEPS) else this


def keep(
    request: HttpRequest, draft: Submission, form: StepForm, change: Callable[[Submission, StepForm], Changes]
) -> Submission | None:
    """Write the change, unless the draft has moved on in another window."""
    return attempt(
        request,
        form,
        actions.edit_draft,
        submission=draft,
        expected_revision=form.cleaned_data["revision"],
        **change(draft, form),
    )
