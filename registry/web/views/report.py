"""Report a find: begin a draft, say which one it is, say what differs."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import Casting, Release, Submission, Trait, Variant
from registry.queries import browse, reporting
from registry.queries.search import find
from registry.web import drafts
from registry.web.forms.details import DetailsForm
from registry.web.forms.report import (
    CastingForm,
    ChosenForm,
    DropForm,
    PackForm,
    ReleaseForm,
    StepForm,
    WhichForm,
)
from registry.web.naming import named
from registry.web.people import signed_in
from registry.web.refusals import said_plainly
from registry.web.steps import STEPS, Changes, FormMakers, Step, own_draft, view_of, where_it_went

KINDS: dict[str, Any] = {"casting": Casting, "release": Release}
BEGINNINGS = {**KINDS, "variant": Variant, "differs_from": Variant}


@login_required
def report(request: HttpRequest) -> HttpResponse:
    """Begin: with what another page named, with what a search finds, or with a draft."""
    asked = request.GET.get("q", "")[:120].strip()
    chosen = chosen_in(request.GET)
    mine = [one for one in reporting.own_submissions(signed_in(request)) if one.status == "draft"]
    about = chosen.get("variant") or chosen.get("differs_from")
    release = about.release if about else chosen.get("release")
    given = {
        "quick": reverse("quick") + (f"?release={release.public_id}" if release else ""),
        "searched": asked,
        "found": find(asked, kinds=("casting", "release"), limit=20) if asked else [],
        "drafts": mine,
        "chosen": next(iter(chosen.items()), None),
        "seen": reporting.seen_states(request.GET.getlist("state"), release_in(chosen)),
        "unnamed": reporting.unnamed_traits(request.GET.getlist("none"), release_in(chosen)),
    }
    return render(request, "registry/report/begin.html", given)


def chosen_in(said: QueryDict) -> dict[str, Any]:
    """What a report may begin with: one casting, release or variant, or the variant that mine differs from."""
    found = {name: named(model, said.get(name, "")) for name, model in BEGINNINGS.items() if name in said}
    return {name: thing for name, thing in found.items() if thing is not None}


def release_in(chosen: Mapping[str, Any]) -> Release | None:
    """The release that a new report would be on."""
    base = chosen.get("differs_from")
    return base.release if base else chosen.get("release")


@login_required
@require_POST
@said_plainly
def begin(request: HttpRequest) -> HttpResponse:
    """Start a draft on what was chosen, with what was seen; on nothing, to propose what is missing."""
    given = chosen_in(request.POST)
    if other := given.get("differs_from"):
        given["release"] = other.release
    seen = reporting.seen_states(request.POST.getlist("state"), given.get("release"))
    unnamed = reporting.unnamed_traits(request.POST.getlist("none"), given.get("release"))
    claims = reporting.claims_of_seen(seen, given.get("differs_from"))
    content = ({"claims": claims} if claims else {}) | ({"note": to_name(unnamed)} if unnamed else {})
    draft = actions.start_draft(by=signed_in(request), at=timezone.now(), content=content, **given)
    skips = "variant" in given or "differs_from" in given
    step = reverse("draft-details" if skips else "draft-which", kwargs={"public_id": draft.public_id})
    return redirect(f"{step}?none={unnamed[0].public_id}" if unnamed else step)


def to_name(unnamed: list[Trait]) -> str:
    """What was seen and has no name yet, as a sentence that the report keeps."""
    return f"None of the listed states fits what I see: {', '.join(trait.name for trait in unnamed)}."[:500]


@login_required
@require_POST
@said_plainly
def withdraw(request: HttpRequest, public_id: str) -> HttpResponse:
    actions.withdraw_draft(submission=own_draft(request, public_id), by=signed_in(request), at=timezone.now())
    return redirect("account")


# Which one --------------------------------------------------------------------------------------------------------


def which_makers(request: HttpRequest, draft: Submission) -> FormMakers:
    return {
        "differs": partial(WhichForm, draft),
        "choose": ChosenForm,
        "casting": CastingForm,
        "release": ReleaseForm,
        "pack": PackForm,
        "drop": DropForm,
    }


def choose(draft: Submission, form: StepForm) -> Changes:
    """Another casting or release: what was compared with belongs to the old one."""
    kind = form.cleaned_data["kind"]
    thing = named(KINDS[kind], form.cleaned_data["chosen"])
    content = drafts.propose(drafts.propose(draft.content, "casting", None), "release", None)
    given = {"casting": None, "release": None, "differs_from": None, "content": content}
    return {**given, kind: thing}


def propose_casting(draft: Submission, form: StepForm) -> Changes:
    said = {"maker": form.cleaned_data["maker"].public_id} | said_in(form, "name", "what")
    return {
        "casting": None,
        "release": None,
        "differs_from": None,
        "content": drafts.propose(draft.content, "casting", said),
    }


def propose_release(draft: Submission, form: StepForm) -> Changes:
    said: dict[str, Any] = said_in(form, "name", "number", "livery")
    said |= {"line": form.cleaned_data["line"].public_id, "year": form.cleaned_data["year"]}
    return {"release": None, "differs_from": None, "content": drafts.propose(draft.content, "release", said)}


def propose_pack(draft: Submission, form: StepForm) -> Changes:
    return {"content": drafts.propose(draft.content, "pack", said_in(form, "name", "kind", "gtin"))}


def said_in(form: StepForm, *fields: str) -> dict[str, Any]:
    return {field: form.cleaned_data[field] for field in fields if form.cleaned_data[field] != ""}


def which_beside(request: HttpRequest, draft: Submission, forms: Mapping[str, StepForm]) -> dict[str, Any]:
    asked = request.GET.get("q", "")[:120].strip()
    proposes = drafts.proposed(draft.content)
    return {
        "here": "draft-which",
        "searched": asked,
        "found": find(asked, kinds=("casting", "release"), limit=20) if asked else [],
        "releases": browse.releases_of(draft.casting) if draft.casting and not draft.release else [],
        "proposes": proposes,
        "has_casting": bool(draft.casting or proposes.get("casting")),
        "has_release": bool(draft.release or proposes.get("release")),
    }


which = view_of(
    Step(
        name="draft-which",
        template="registry/report/which.html",
        makers=which_makers,
        changes={
            "differs": lambda draft, form: {"differs_from": form.cleaned_data["differs_from"]},
            "choose": choose,
            "casting": propose_casting,
            "release": propose_release,
            "pack": propose_pack,
            "drop": lambda draft, form: {
                "content": drafts.propose(draft.content, form.cleaned_data["ref"], None)
            },
        },
        beside=which_beside,
    )
)


# What differs -----------------------------------------------------------------------------------------------------


def details_makers(request: HttpRequest, draft: Submission) -> FormMakers:
    make = partial(claims_form, draft, reporting.details_of(draft), unnamed=request.GET.get("none", ""))
    return {"claims": make, "drop_states": DropForm, "drop_traits": DropForm}


def claims_form(
    draft: Submission, asked: list[reporting.Detail], data: Any = None, initial: Any = None, **kwargs: Any
) -> DetailsForm:
    """The form begins with what the draft says, so a step's own beginning is not needed."""
    return DetailsForm(draft, asked, data, **kwargs)


def keep_details(draft: Submission, form: StepForm) -> Changes:
    """The answers and the words, and with them the state or detail that the pressed button proposes.

    Who proposes a state saw it: it is their answer.
    """
    assert isinstance(form, DetailsForm)
    content, chosen = {**draft.content, **form.words()}, {}
    if kind := form.cleaned_data["also"]:
        content = drafts.propose_one_more(content, f"{kind}s", form.proposal())
    if kind == "state":
        said = content["proposes"]["states"][-1]
        chosen = {said["trait"]: f"ref:{said['ref']}"}
    return {"content": drafts.say_claims(content, form.claims(chosen))}


def drop(kind: str, draft: Submission, form: StepForm) -> Changes:
    return {"content": drafts.drop_proposal(draft.content, kind, form.cleaned_data["ref"])}


def details_beside(request: HttpRequest, draft: Submission, forms: Mapping[str, StepForm]) -> dict[str, Any]:
    return {"here": "draft-details", "proposes": drafts.proposed(draft.content)}


def by_way_of_known(draft: Submission, wanted: str) -> str:
    """From the details to the photographs past what it may be, if there is any."""
    return "draft-known" if wanted == "draft-photos" and reporting.known_alike(draft, []) else wanted


details = view_of(
    Step(
        name="draft-details",
        template="registry/report/details.html",
        makers=details_makers,
        changes={
            "claims": keep_details,
            "drop_states": partial(drop, "states"),
            "drop_traits": partial(drop, "traits"),
        },
        beside=details_beside,
        onward=by_way_of_known,
    )
)


# Is it one of these? -------------------------------------------------------------------------------------------------


@login_required
@never_cache
def known(request: HttpRequest, public_id: str) -> HttpResponse:
    """Variants that the draft may be about, told before anybody takes photographs of it."""
    draft = own_draft(request, public_id)
    if gone := where_it_went(draft):
        return gone
    alike = reporting.known_alike(draft, reporting.details_of(draft))
    if not alike:
        return redirect("draft-photos", public_id=draft.public_id)
    given = {"draft": draft, "steps": STEPS, "here": "draft-details", "known": alike}
    given["lacking"] = reporting.lacks_difference(draft)
    return render(request, "registry/report/known.html", given)
