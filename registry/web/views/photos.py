"""A photograph: large and plain, with what is marked on it, and the forms to say more of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import Example, Mark, Member, Photo
from registry.queries import evidence, likenesses, possession
from registry.queries.journal import reason_of
from registry.queries.measured import Shown, measured_on
from registry.web import colours
from registry.web.forms.photos import (
    CodeForm,
    DescribeForm,
    MarkForm,
    NewExampleForm,
    RemoveMarkForm,
    RestoreForm,
    TakeDownForm,
)
from registry.web.people import reader, signed_in
from registry.web.refusals import attempt

Act = Callable[[HttpRequest, Photo, Any], Any]


def seen_photo(request: HttpRequest, public_id: str) -> Photo:
    """The photograph, unless it is another member's draft."""
    it = evidence.one_photo(public_id, reader(request))
    if it is None:
        raise Http404
    return it


def photo(request: HttpRequest, public_id: str) -> HttpResponse:
    it = seen_photo(request, public_id)
    if it.taken_down_at:
        return gone(request, it, RestoreForm(auto_id="restore_%s"))
    return render(request, "registry/photo.html", page_of(request, it))


def gone(request: HttpRequest, it: Photo, form: RestoreForm) -> HttpResponse:
    """The page of a photograph that was taken down, on which a moderator may show it again."""
    member = reader(request)
    why = reason_of("photo.taken_down", it)
    given = {"photo": it, "why": why, "form": form if member and member.is_moderator else None}
    status = 422 if form.errors else 451 if it.withheld_by_law else 410
    return render(request, "registry/photo_gone.html", given, status=status)


@login_required
@require_POST
def restore(request: HttpRequest, public_id: str) -> HttpResponse:
    """Show it again, with the file that was first sent."""
    it = seen_photo(request, public_id)
    form = RestoreForm(request.POST, request.FILES, auto_id="restore_%s")
    if not signed_in(request).is_moderator or not it.taken_down_at:
        raise Http404
    if form.is_valid():
        file = form.cleaned_data["file"]
        said = {"reason": form.cleaned_data["reason"], "data": file.read() if file else None}
        if attempt(request, form, actions.restore_photo, photo=it, **said):
            return redirect("photo", public_id=it.public_id)
    return gone(request, it, form)


def page_of(request: HttpRequest, it: Photo, **sent: Any) -> dict[str, Any]:
    """The page and its forms; the one just sent keeps what was typed."""
    release = evidence.release_of(it)
    marks = evidence.marks_on(it)
    makers = form_makers(request, it, marks)
    likenesses.note_likenesses([it], reader(request))
    lengths, elsewhere = by_mark(measured_on(it), marks)
    return colours.on_page(request, it, marks, release, sent.pop("chart", None)) | {
        "photo": it,
        "marks": marks,
        "lengths": lengths,
        "lengths_elsewhere": elsewhere,
        "release": release,
        "is_mine": it.owner_id == request.user.pk,
        "forms": {name: sent.get(name) or make() for name, make in makers.items()},
    }


def by_mark(lengths: list[Shown], marks: list[Mark]) -> tuple[dict[int, list[Shown]], list[Shown]]:
    """Lengths by the key of the first mark of the same detail on the same item; and those of nothing marked."""
    first: dict[tuple[int | None, int], int] = {}
    for mark in marks:
        first.setdefault((mark.claim_id, mark.example_id), mark.pk)
    of: dict[int, list[Shown]] = {mark.pk: [] for mark in marks}
    elsewhere: list[Shown] = []
    for it in lengths:
        mark_key = first.get((it.row.claim_id, it.row.example_id))
        (elsewhere if mark_key is None else of[mark_key]).append(it)
    return of, elsewhere


def form_makers(request: HttpRequest, it: Photo, marks: list[Mark]) -> dict[str, Callable[..., Any]]:
    """The forms that this reader may use on this photograph, by their `do`."""
    release, member = evidence.release_of(it), reader(request)
    if member is None or release is None:
        return {}
    is_mine = it.owner_id == member.pk
    items = list(evidence.examples_to_show(it, release) if is_mine else evidence.examples_shown(it))
    shown = [item for item in items if not is_mine or item.is_shown]  # type: ignore[attr-defined]
    makers: dict[str, Callable[..., Any]] = {
        "mark": partial(MarkForm, evidence.claims_to_mark(it), shown),
        "unmark": partial(RemoveMarkForm, removable(marks, member), auto_id="unmark_%s"),
    }
    if is_mine:
        makers["describe"] = partial(describe_form, it, items, shown)
        makers["example"] = partial(NewExampleForm, auto_id="example_%s")
    if possession.may_see_code(it, member):
        makers["code"] = partial(CodeForm, auto_id="code_%s")
    if member.is_moderator:
        makers["take_down"] = partial(TakeDownForm, auto_id="down_%s")
    return makers


def removable(marks: list[Mark], member: Member) -> list[Mark]:
    """Marks that this member may take back."""
    return [
        mark
        for mark in marks
        if mark.claim.closed_at is None and (member.is_moderator or mark.by_id == member.pk)
    ]


def describe_form(it: Photo, items: list[Example], shown: list[Example], data: Any = None) -> DescribeForm:
    initial = {
        "views": it.views,
        "caption": it.caption,
        "is_edited": it.is_edited,
        "examples": [one.public_id for one in shown],
    }
    return DescribeForm(items, data, initial=initial, auto_id="describe_%s")


@login_required
@require_POST
def say(request: HttpRequest, public_id: str) -> HttpResponse:
    """One of the forms of the page, named by the button's `do`."""
    it = seen_photo(request, public_id)
    do = request.POST.get("do", "")
    make = form_makers(request, it, evidence.marks_on(it)).get(do)
    if make is None:
        raise Http404
    form = make(request.POST)
    if form.is_valid() and ACTS[do](request, it, form):
        return redirect("photo", public_id=it.public_id)
    return render(request, "registry/photo.html", page_of(request, it, **{do: form}), status=422)


def mark(request: HttpRequest, it: Photo, form: MarkForm) -> Any:
    said = form.cleaned_data
    return attempt(
        request,
        form,
        actions.mark_region,
        photo=it,
        claim=said["claim"],
        example=said["example"],
        xywh=form.region,
    )


def unmark(request: HttpRequest, it: Photo, form: RemoveMarkForm) -> Any:
    return attempt(request, form, actions.remove_mark, **form.cleaned_data)


def describe(request: HttpRequest, it: Photo, form: DescribeForm) -> Any:
    return attempt(request, form, actions.describe_photo, photo=it, **form.cleaned_data)


def example(request: HttpRequest, it: Photo, form: NewExampleForm) -> Any:
    """Note the item; the form to say that the photograph shows it then offers it."""
    said = {**form.cleaned_data, "found_month": form.month()}
    return attempt(request, form, actions.add_example, release=evidence.release_of(it), **said)


def code(request: HttpRequest, it: Photo, form: CodeForm) -> Any:
    return attempt(request, form, actions.see_code, photo=it, **form.cleaned_data)


def take_down(request: HttpRequest, it: Photo, form: TakeDownForm) -> Any:
    return attempt(request, form, actions.take_down_photo, photo=it, **form.cleaned_data)


ACTS: dict[str, Act] = {
    "mark": mark,
    "unmark": unmark,
    "describe": describe,
    "example": example,
    "code": code,
    "take_down": take_down,
}
