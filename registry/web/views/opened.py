"""What differs here? A quick note, the drafts that are open to others, and what others say of one."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from registry import actions
from registry.errors import RegistryError
from registry.models import Release, Remark, Submission, SubmissionStatus
from registry.queries import opened, reporting
from registry.queries.search import find
from registry.sentences import said
from registry.web import drafts
from registry.web.forms.opened import CloseForm, ItemForm, QuickForm, RemarkForm
from registry.web.naming import named
from registry.web.paging import page_number
from registry.web.people import reader, signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.steps import own_draft


@login_required
def quick(request: HttpRequest) -> HttpResponse:
    """One picture, one sentence, the release if known; kept as a draft, or opened to others at once."""
    release = named(Release, request.GET.get("release", ""))
    asked = request.GET.get("q", "")[:120].strip()
    form = QuickForm(request.POST or None, request.FILES or None)
    if form.is_valid() and (draft := keep_quick(request, form, release)):
        return redirect("open-draft" if draft.opened_at else "draft-photos", public_id=draft.public_id)
    found = find(asked, kinds=("release",), limit=20) if asked else []
    given = {"form": form, "release": release, "searched": asked, "found": found}
    return render(request, "registry/quick.html", given, status=status_for(form))


def keep_quick(request: HttpRequest, form: QuickForm, release: Release | None) -> Submission | None:
    """The draft with its picture; a picture that is refused leaves no draft."""
    by, at, given = signed_in(request), timezone.now(), form.cleaned_data
    data = given["picture"].read()
    try:
        taken = actions.take_in(by=by, at=at, data=data)
    except RegistryError as refusal:
        form.add_error("picture", said(refusal))
        return None
    draft: Submission | None = attempt(
        request, form, actions.start_draft, release=release, content={"note": given["note"]}
    )
    if draft and attempt(
        request, form, actions.attach_photo, submission=draft, data=taken, licence=given["licence"]
    ):
        if request.POST.get("then") == "open":
            return attempt(request, form, actions.open_draft, submission=draft) or draft
        return draft
    return None


def listed(request: HttpRequest) -> HttpResponse:
    """Every opened draft, newest first."""
    return render(request, "registry/opened.html", {"page": opened.opened_drafts(page_number(request))})


def one(request: HttpRequest, public_id: str) -> HttpResponse:
    """One of them; after it was sent, the variant that it made, and after it was closed, for its author, the draft."""
    draft = opened.one_opened(public_id)
    if draft is None:
        return where_it_went(request, public_id)
    return render(request, "registry/open_draft.html", page_of(request, draft))


def where_it_went(request: HttpRequest, public_id: str) -> HttpResponse:
    drafts_of_it = Submission.objects.filter(public_id=public_id, status=SubmissionStatus.DRAFT)
    member = reader(request)
    if member and drafts_of_it.filter(author=member).exists():
        return redirect("draft-photos", public_id=public_id)
    sent = Submission.objects.filter(public_id=public_id, sent_at__isnull=False, opened_at__isnull=False)
    draft = get_object_or_404(sent.select_related("variant"))
    assert draft.variant is not None
    return redirect("variant", public_id=draft.variant.public_id)


def page_of(request: HttpRequest, draft: Submission, sent: RemarkForm | None = None) -> dict[str, Any]:
    member = reader(request)
    states = opened.states_to_name(draft.release) if member else []
    pictures, page = opened.seen_on(draft, page_number(request))
    seen = []
    for n, it in enumerate(pictures, start=1):
        form = sent if sent and sent.data.get("photo") == it.photo.public_id else None
        if member and form is None:
            form = RemarkForm(states, initial={"photo": it.photo.public_id}, auto_id=f"at{n}_%s")
        seen.append((it, form))
    is_mine = member is not None and draft.author_id == member.pk
    return {
        "draft": draft,
        "seen": seen,
        "page": page,
        "is_mine": is_mine,
        "item_form": ItemForm(auto_id="item_%s") if is_mine else None,
        "close_form": CloseForm(auto_id="close_%s")
        if member and member.is_moderator and not is_mine
        else None,
    }


@login_required
@require_POST
def remark(request: HttpRequest, public_id: str) -> HttpResponse:
    """Say what one sees in a region."""
    draft = opened.one_opened(public_id)
    if draft is None:
        raise Http404
    photos = {photo.public_id: photo for photo in draft.pictures}  # type: ignore[attr-defined]
    photo = photos.get(request.POST.get("photo", ""))
    if photo is None:
        raise Http404
    form = RemarkForm(opened.states_to_name(draft.release), request.POST)
    if form.is_valid():
        seen = {"state": form.cleaned_data.get("state"), "sentence": form.cleaned_data["sentence"]}
        if attempt(request, form, actions.add_remark, photo=photo, xywh=form.region, **seen):
            return redirect("open-draft", public_id=draft.public_id)
    return render(request, "registry/open_draft.html", page_of(request, draft, form), status=422)


@login_required
@require_POST
@said_plainly
def take_away(request: HttpRequest, public_id: str, remark_id: str) -> HttpResponse:
    it = get_object_or_404(
        Remark.objects.standing(), public_id=remark_id, photo__submission__public_id=public_id
    )
    actions.remove_remark(remark=it, by=signed_in(request), at=timezone.now())
    return redirect("open-draft", public_id=public_id)


@login_required
@require_POST
@said_plainly
def open_it(request: HttpRequest, public_id: str) -> HttpResponse:
    draft = own_draft(request, public_id)
    actions.open_draft(submission=draft, by=signed_in(request), at=timezone.now())
    return redirect("open-draft", public_id=draft.public_id)


@login_required
@require_POST
@said_plainly
def close(request: HttpRequest, public_id: str) -> HttpResponse:
    """Show it to others no longer; a moderator who finds a picture wrong takes that down besides."""
    draft = opened.one_opened(public_id)
    if draft is None:
        raise Http404
    by, at, reason = signed_in(request), timezone.now(), request.POST.get("reason", "")
    actions.close_draft(submission=draft, by=by, at=at, reason=reason)
    if draft.author_id == by.pk:
        return redirect("draft-photos", public_id=draft.public_id)
    if request.POST.get("pictures") == "yes":
        for photo in draft.pictures:  # type: ignore[attr-defined]
            actions.take_down_photo(photo=photo, by=by, at=at, reason=reason)
    return redirect("opened")


@login_required
@require_POST
@said_plainly
def make_report(request: HttpRequest, public_id: str) -> HttpResponse:
    """Take what others said into the draft: the details they named, marked where they saw them."""
    mine = own_draft(request, public_id)
    draft = opened.one_opened(public_id)
    if draft is None:
        raise Http404
    form = ItemForm(request.POST, auto_id="item_%s")
    if not form.is_valid():
        given = page_of(request, draft) | {"item_form": form}
        return render(request, "registry/open_draft.html", given, status=422)
    remarks = list(opened.said_of(draft).order_by("pk"))
    states = [one.seen for one in remarks if one.seen]
    content = drafts.take_over(
        drafts.follow_merges(mine.content, opened.merged_since(mine.content)),
        remarks,
        reporting.claims_of_seen(states, draft.differs_from),
        form.cleaned_data,
    )
    by, at = signed_in(request), timezone.now()
    actions.edit_draft(submission=mine, by=by, at=at, expected_revision=mine.revision, content=content)
    return redirect("draft-details" if draft.release else "draft-which", public_id=draft.public_id)
