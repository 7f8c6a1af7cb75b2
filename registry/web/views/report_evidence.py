"""Report a find: the items, their photographs, where on them each detail shows, and where else it was seen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.files.uploadedfile import UploadedFile
from django.forms import Form
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.errors import RegistryError
from registry.models import Condition, Photo, Scope, Submission
from registry.queries import possession, reporting
from registry.queries.compare import photos_to_compare
from registry.queries.sightings import last_place
from registry.sentences import Sentence, said
from registry.web import drafts
from registry.web.forms.report import (
    DescribeForm,
    DropForm,
    ExampleForm,
    MarkForm,
    PhotosForm,
    SeenForm,
    StepForm,
)
from registry.web.hints import hint
from registry.web.people import signed_in
from registry.web.pictures import drawn_mark
from registry.web.refusals import said_plainly, status_of
from registry.web.steps import STEPS, Changes, FormMakers, Step, fresh, own_draft, view_of, where_it_went

NUMBER_HEIGHT = 36

# Photographs ------------------------------------------------------------------------------------------------------


def photos_makers(request: HttpRequest, draft: Submission) -> FormMakers:
    items = reporting.items_of(draft, signed_in(request))
    return {
        "example": ExampleForm,
        "drop_example": DropForm,
        "describe": partial(DescribeForm, items),
        "upload": PhotosForm,
    }


def keep_example(draft: Submission, form: StepForm) -> Changes:
    typed = {name: value for name, value in form.cleaned_data.items() if name != "revision" and value != ""}
    return {"content": drafts.add_example(draft.content, typed)}


def keep_description(draft: Submission, form: StepForm) -> Changes:
    typed = form.cleaned_data
    return {
        "content": drafts.describe_photo(draft.content, typed["photo"], typed["examples"], typed["views"])
    }


def photos_beside(request: HttpRequest, draft: Submission, forms: Mapping[str, StepForm]) -> dict[str, Any]:
    items = reporting.items_of(draft, signed_in(request))
    make = partial(DescribeForm, items)
    describing = [
        (photo, form_for(photo, forms["describe"], make, said_of(draft, photo, items)))
        for photo in draft.photos.shown().select_related("owner").order_by("id")
    ]
    code = possession.current_code(draft, timezone.now())
    return {
        "here": "draft-photos",
        "describing": describing,
        "examples": numbered(draft, items),
        "code": code,
    }


def said_of(draft: Submission, photo: Photo, items: list[reporting.Choice]) -> dict[str, Any]:
    """What the draft says of a photo; where it says nothing yet, a single item is what it shows."""
    said = drafts.described(draft.content, photo.public_id) | {"revision": draft.revision}
    return said | {"examples": said["examples"] or [ref for ref, _ in items if len(items) == 1]}


def form_for(photo: Photo, sent: StepForm, make: Any, initial: dict[str, Any]) -> StepForm:
    """The photo's own form: the one just sent if it was about this photo, else a fresh one."""
    if sent.is_bound and sent.data.get("photo") == photo.public_id:
        sent.auto_id = f"{photo.public_id}_%s"
        return sent
    form: StepForm = make(initial={**initial, "photo": photo.public_id}, auto_id=f"{photo.public_id}_%s")
    return form


def numbered(draft: Submission, items: list[reporting.Choice]) -> list[dict[str, str]]:
    """The draft's own items with their words, each to be taken back."""
    refs = [str(one.get("ref")) for one in draft.content.get("examples") or []]
    return [{"ref": ref, "words": words} for ref, (_, words) in zip(refs, items, strict=False)]


photos_step = Step(
    name="draft-photos",
    template="registry/report/photos.html",
    makers=photos_makers,
    changes={
        "example": keep_example,
        "describe": keep_description,
        "drop_example": lambda draft, form: {
            "content": drafts.drop_example(draft.content, form.cleaned_data["ref"])
        },
    },
    beside=photos_beside,
)
photos = view_of(photos_step)


@login_required
@require_POST
@said_plainly
def code(request: HttpRequest, public_id: str) -> HttpResponse:
    """Another code to write on paper, where the last one is too old."""
    draft = own_draft(request, public_id)
    actions.give_code(submission=draft, by=signed_in(request), at=timezone.now())
    return redirect("draft-photos", public_id=draft.public_id)


@login_required
@require_POST
def upload(request: HttpRequest, public_id: str) -> HttpResponse:
    """Take one or more photographs into the draft; each is kept or refused by itself.

    A script sends them one by one and asks for JSON. The same bytes again are the photograph that is there.
    """
    draft = own_draft(request, public_id)
    by_script = request.headers.get("Accept") == "application/json"
    if gone := where_it_went(draft):
        return sent_already(draft) if by_script else gone
    form = PhotosForm(request.POST, request.FILES)
    status = 422
    if form.is_valid():
        for file in form.cleaned_data["photos"]:
            status = take_in(request, draft, form, file) or status
    if by_script:
        why = " ".join(str(words) for errors in form.errors.values() for words in errors)
        return JsonResponse({"refused": why} if why else {}, status=status if why else 200)
    if not form.errors:
        return redirect("draft-photos", public_id=draft.public_id)
    makers = photos_makers(request, draft)
    forms = fresh(draft, makers) | {"upload": form}
    given = {"draft": draft, "forms": forms, "steps": STEPS, **photos_beside(request, draft, forms)}
    return render(request, photos_step.template, given, status=422)


def sent_already(draft: Submission) -> JsonResponse:
    refused = _("This report is %(status)s.") % {"status": draft.get_status_display()}
    return JsonResponse({"refused": refused}, status=409)


def take_in(request: HttpRequest, draft: Submission, form: PhotosForm, file: UploadedFile) -> int | None:
    """Attach one picture; a refusal says which file it is about, and its status is answered."""
    typed = {name: form.cleaned_data[name] for name in ("licence", "is_edited")}
    try:
        actions.attach_photo(
            by=signed_in(request), at=timezone.now(), data=file.read(), submission=draft, **typed
        )
    except RegistryError as refusal:
        form.add_error("photos", f"{file.name}: {said(refusal)}")
        return status_of(refusal)
    return None


@login_required
@require_POST
@said_plainly
def discard(request: HttpRequest, public_id: str, photo_id: str) -> HttpResponse:
    """Take a wrong picture out."""
    draft = own_draft(request, public_id)
    photo = get_object_or_404(draft.photos.select_related("submission"), public_id=photo_id)
    actions.discard_photo(photo=photo, by=signed_in(request), at=timezone.now())
    return redirect("draft-photos", public_id=draft.public_id)


# Marks ------------------------------------------------------------------------------------------------------------


def marks_makers(request: HttpRequest, draft: Submission) -> FormMakers:
    details = reporting.details_of(draft)
    items = reporting.items_of(draft, signed_in(request))
    return {"mark": partial(MarkForm, markable(draft, details), items), "drop_mark": DropForm}


def markable(draft: Submission, details: Iterable[reporting.Detail]) -> list[reporting.Choice]:
    """What a mark may show: what this report says of mine, and of the one it differs from."""
    claims = {str(claim.get("trait")): claim for claim in draft.content.get("claims") or []}
    mine: list[reporting.Choice] = []
    other: list[reporting.Choice] = []
    for detail in details:
        states = dict(detail.states)
        claim = claims.get(detail.trait)
        state = claim.get("state") if claim else detail.listed[0] if draft.variant and detail.listed else None
        if state:
            words = Sentence("%(detail)s: %(state)s", detail=detail.name, state=states.get(state, ""))
            mine.append((f"variant {detail.trait}", words))
        base = claim.get("base_state") if claim and claim.get("kind") == "difference" else None
        if base and draft.differs_from:
            words = Sentence(
                "%(variant)s, %(detail)s: %(state)s",
                variant=draft.differs_from.title,
                detail=detail.name,
                state=states.get(base, ""),
            )
            other.append((f"base {detail.trait}", words))
    return mine + other


def keep_mark(draft: Submission, form: StepForm) -> Changes:
    assert isinstance(form, MarkForm)
    of, trait = form.cleaned_data["what"].split(" ", 1)
    mark = {
        "photo": form.cleaned_data["photo"],
        "example": form.cleaned_data["example"],
        "trait": trait,
        "of": of,
        "xywh": form.fragment(),
    }
    return {"content": drafts.add_mark(draft.content, mark)}


def drop_mark(draft: Submission, form: StepForm) -> Changes:
    at = form.cleaned_data["ref"]
    return {"content": drafts.drop_mark(draft.content, int(at) if at.isdecimal() else -1)}


def marks_beside(request: HttpRequest, draft: Submission, forms: Mapping[str, StepForm]) -> dict[str, Any]:
    sent = forms["mark"]
    choices: Form = sent
    what, items = choices.fields["what"].choices, choices.fields["example"].choices  # type: ignore[attr-defined]
    make = partial(MarkForm, what, items)
    known = photos_to_compare(draft.differs_from.survivor) if draft.differs_from else []
    marking = []
    for photo in draft.photos.shown().order_by("id"):
        shown = drafts.described(draft.content, photo.public_id)
        photo.views = shown["views"]  # as the draft describes it; nothing is kept
        offered = hint(photo, known, request.GET)
        first = {"revision": draft.revision, "example": next(iter(shown["examples"]), None), **offered.region}
        drawn = drawn_on(draft, photo, dict(what), dict(items))
        marking.append((photo, form_for(photo, sent, make, first), drawn, offered))
    return {"here": "draft-marks", "marking": marking, "has_what": bool(what), "has_items": bool(items)}


def drawn_on(
    draft: Submission, photo: Photo, what: Mapping[str, str], items: Mapping[str, str]
) -> list[dict[str, Any]]:
    """The draft's marks on a photo, in pixels and in words."""
    drawn = []
    for at, mark in enumerate(draft.content.get("marks") or []):
        if mark.get("photo") != photo.public_id:
            continue
        words = what.get(f"{mark.get('of')} {mark.get('trait')}", "?")
        item = items.get(str(mark.get("example")), "")
        box = drawn_mark(actions.parse_fragment(mark["xywh"]), photo, NUMBER_HEIGHT)
        drawn.append({"at": at, "words": words, "item": item, **box})
    return drawn


marks = view_of(
    Step(
        name="draft-marks",
        template="registry/report/marks.html",
        makers=marks_makers,
        changes={"mark": keep_mark, "drop_mark": drop_mark},
        beside=marks_beside,
    )
)


# Sightings --------------------------------------------------------------------------------------------------------


def sightings_makers(request: HttpRequest, draft: Submission) -> FormMakers:
    return {"sighting": partial(seen_form, request), "drop_sighting": DropForm}


def seen_form(request: HttpRequest, data: Any = None, initial: Any = None, **kwargs: Any) -> SeenForm:
    """The next is most likely of today, and of where the last one was."""
    if data is not None:
        return SeenForm(data, **kwargs)
    country, region = last_place(signed_in(request))
    here = {"seen_on": timezone.localdate(), "country": country, "region": region}
    return SeenForm(initial=here | (initial or {}), **kwargs)


def keep_sighting(draft: Submission, form: StepForm) -> Changes:
    assert isinstance(form, SeenForm)
    return {"content": drafts.add_sighting(draft.content, form.find())}


def drop_sighting(draft: Submission, form: StepForm) -> Changes:
    at = form.cleaned_data["ref"]
    return {"content": drafts.drop_sighting(draft.content, int(at) if at.isdecimal() else -1)}


def sightings_beside(
    request: HttpRequest, draft: Submission, forms: Mapping[str, StepForm]
) -> dict[str, Any]:
    scopes, conditions = dict(Scope.choices), dict(Condition.choices)
    seen = [
        {
            **said,
            "seen_on": date.fromisoformat(said["seen_on"]),
            "scope": scopes.get(said["scope"], said["scope"]),
            "condition": conditions.get(said.get("condition")),
        }
        for said in draft.content.get("sightings") or []
    ]
    return {"here": "draft-sightings", "seen": seen}


sightings = view_of(
    Step(
        name="draft-sightings",
        template="registry/report/sightings.html",
        makers=sightings_makers,
        changes={"sighting": keep_sighting, "drop_sighting": drop_sighting},
        beside=sightings_beside,
    )
)
