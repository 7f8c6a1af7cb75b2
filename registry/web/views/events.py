"""A moderator's page of one variant: merge it after seeing what that does, split, strike, restore or retitle it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from registry import actions
from registry.actions import two_persons
from registry.models import PendingDeed, Variant
from registry.queries.fates import fate_events
from registry.queries.merging import merge_plan
from registry.web.forms.events import (
    MergeVariantForm,
    RetitleVariantForm,
    SplitVariantForm,
    StrikeVariantForm,
    WhyForm,
)
from registry.web.naming import named
from registry.web.refusals import attempt
from registry.web.views.browse import found
from registry.web.views.moderation import desk, moderators_only

RELATED = ("release__line__maker", "release__casting__maker", "merged_into", "split_from")


@moderators_only
def moderate_variant(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Variant, public_id, *RELATED)
    do = request.POST.get("do", "")
    forms = forms_for(it, do, request)
    if do in forms and forms[do].is_valid():
        answer = ACTS[do](request, it, forms[do])
        if not forms[do].errors:
            return acted(request, it, answer)
    given = {"variant": it, "forms": forms, "events": fate_events(it), **preview(request, it, forms)}
    return render(request, "registry/moderate_variant.html", given, status=422 if do else 200)


def acted(request: HttpRequest, it: Variant, answer: Any) -> HttpResponse:
    """It is done; or it waits for a second moderator, with 202."""
    if isinstance(answer, PendingDeed):
        words = _("%(variant)s: this waits for a second moderator, who has to confirm it below.")
        messages.success(request, words % {"variant": it})
        return desk(request, status=202)
    messages.success(request, _("%(variant)s: done.") % {"variant": it})
    return redirect("moderate-variant", public_id=it.public_id)


def forms_for(it: Variant, do: str, request: HttpRequest) -> dict[str, Any]:
    """What can be done to it as it stands; the form that was sent is filled with what was sent."""
    beginning = {"title": it.title, "nicknames": ", ".join(it.nicknames)}
    makers: dict[str, Callable[..., Any]] = {
        "merge": MergeVariantForm,
        "split": lambda *args, **kwargs: SplitVariantForm(it, *args, **kwargs),
        "strike": StrikeVariantForm,
        "retitle": RetitleVariantForm,
    }
    if it.is_gone:
        makers = {"restore": WhyForm}
    return {
        name: make(request.POST, auto_id=f"{name}_%s")
        if name == do
        else make(initial=beginning | {"into": request.GET.get("into", "")}, auto_id=f"{name}_%s")
        for name, make in makers.items()
    }


def preview(request: HttpRequest, it: Variant, forms: dict[str, Any]) -> dict[str, Any]:
    """What merging into the variant named in `into` would do, claim by claim."""
    asked = request.GET.get("into", "")
    if not asked or "merge" not in forms:
        return {}
    into = survivor_called(it, asked)
    return {"asked": asked, "into": into, "plan": merge_plan(it, into) if into else []}


def survivor_called(it: Variant, said: str) -> Variant | None:
    """Another variant, by id, or by title where only one of the release is called so."""
    if by_id := named(Variant, said):
        return by_id.survivor if by_id.survivor != it else None
    titled = Variant.objects.live().filter(release=it.release, title__iexact=said.strip()).exclude(pk=it.pk)
    found_rows = list(titled[:2])
    return found_rows[0] if len(found_rows) == 1 else None


def merge(request: HttpRequest, it: Variant, form: MergeVariantForm) -> Any:
    into = survivor_called(it, form.cleaned_data["into"])
    if into is None:
        why = _("No other variant here has this id, or only this title. Copy the id from its page.")
        form.add_error("into", why)
        return None
    detail = {"variant": it.public_id, "into": into.public_id}
    return ask(request, form, "variant.merge", detail)


def ask(request: HttpRequest, form: WhyForm, kind: str, detail: dict[str, str]) -> Any:
    """What may take a second moderator: the answer is what waits, if it does."""
    reason = form.cleaned_data["reason"]
    return attempt(request, form, two_persons.ask, kind=kind, detail=detail, reason=reason)


def split(request: HttpRequest, it: Variant, form: SplitVariantForm) -> Any:
    said = {name: form.cleaned_data[name] for name in ("keeps", "reason")}
    return attempt(request, form, actions.split_variant, variant=it, parts=form.parts(), **said)


def strike(request: HttpRequest, it: Variant, form: StrikeVariantForm) -> Any:
    detail = {"variant": it.public_id, "reason_code": form.cleaned_data["reason_code"]}
    return ask(request, form, "variant.strike", detail)


def retitle(request: HttpRequest, it: Variant, form: RetitleVariantForm) -> Any:
    return attempt(request, form, actions.retitle_variant, variant=it, **form.said())


def restore(request: HttpRequest, it: Variant, form: WhyForm) -> Any:
    return attempt(request, form, actions.restore_variant, variant=it, **form.cleaned_data)


ACTS: dict[str, Callable[[HttpRequest, Variant, Any], Any]] = {
    "merge": merge,
    "split": split,
    "strike": strike,
    "retitle": retitle,
    "restore": restore,
}
