"""A second look: one detail at a time, is it so?"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.methods.queueing import FEW_NEEDED
from registry.models import Claim, Member, Vote
from registry.queries import colours, compare, controls, disputes, evidence, likenesses, review
from registry.web.forms.review import VoteForm
from registry.web.pairs import beside
from registry.web.people import note_address, signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found

CONTROL = "control"
"""Session key: the id of the question with a known answer that the desk asked last."""
MOST_UNMARKED = 4
"""So many photographs of the variant are shown where none of them is marked."""
RELATED = (
    "variant__release__line",
    "variant__release__casting",
    "trait__merged_into",
    "state__merged_into",
    "author",
    "base_claim__state",
    "base_claim__variant",
    "predecessor__state",
)


@login_required
def desk(request: HttpRequest) -> HttpResponse:
    """The queue: the detail that this member may vote on and where a vote is expected to settle most."""
    skip = whole(request.GET.get("skip", "0"))
    return render(request, "registry/review.html", next_look(request, skip))


def whole(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 6 else 0


def next_look(request: HttpRequest, skip: int) -> dict[str, Any]:
    """What the desk shows: how many wait, and the next of them, after those put aside."""
    waiting = review.queue(signed_in(request)).select_related(*RELATED)
    first = list(waiting[: review.FIRST + 1])
    count = len(first)
    skip = min(skip, max(count - 1, 0))
    offers = review.next_for(signed_in(request), first)
    if not offers:
        return {"count": count, "skip": skip, "claim": None, "disputes": disputes.lately_opened()}
    claim, because = offers[min(skip, len(offers) - 1)]
    if skip == 0 and (asked := control(request)):
        claim, because = asked, FEW_NEEDED
    given = {"count": count, "most": review.FIRST, "skip": skip, "because": because}
    return given | look_at(request, claim)


def control(request: HttpRequest) -> Claim | None:
    """A question with a known answer in place of the next one, where it is its turn. It looks like any other."""
    asked = controls.next_control(signed_in(request), timezone.now())
    if asked is None:
        request.session.pop(CONTROL, None)
        return None
    request.session[CONTROL] = asked.public_id
    return Claim.objects.select_related(*RELATED).get(pk=asked.pk)


def look_at(request: HttpRequest, claim: Claim, form: VoteForm | None = None) -> dict[str, Any]:
    """One detail with what shows it, and the form to vote with."""
    examples = evidence.own_examples(signed_in(request), claim.variant.release)
    marks, others = compare.marks_about(claim)
    colours.tell((mark, mark.claim) for mark in marks)
    photos: dict[int, evidence.Evidence] = {}
    for mark in marks:
        photos.setdefault(mark.photo_id, evidence.Evidence(mark.photo)).marks.append(mark)
    shown = list(photos.values()) or evidence.photos_of_variant(claim.variant, [])[:MOST_UNMARKED]
    likenesses.note_likenesses([it.photo for it in shown], signed_in(request))
    return {
        "claim": claim,
        "photos": shown,
        "is_marked": bool(marks),
        "pair": beside(compare.counterpart(marks, others)),
        "form": form or VoteForm(claim, examples, auto_id="vote_%s"),
    }


@login_required
def vote(request: HttpRequest, public_id: str) -> HttpResponse:
    """Vote on one detail. From the desk the next one follows; from elsewhere its variant's page."""
    claim = found(Claim, public_id, *RELATED)
    if request.method != "POST":
        mine = Vote.objects.current().filter(by=signed_in(request).pk, claim=claim).first()
        return render(
            request,
            "registry/vote.html",
            {**look_at(request, claim, vote_form(request, claim, mine)), "mine": mine},
        )
    form = vote_form(request, claim)
    keep = keep_control if is_control(request, claim) else actions.cast_vote
    if form.is_valid() and attempt(request, form, keep, claim=claim, **form.cleaned_data):
        return voted(request, claim)
    skip = request.POST.get("skip")
    given = look_at(request, claim, form) | ({"skip": whole(skip), "count": None} if skip is not None else {})
    template = "registry/_look.html" if request.htmx else "registry/vote.html"  # type: ignore[attr-defined]
    return render(request, template, given, status=status_for(form))


def is_control(request: HttpRequest, claim: Claim) -> bool:
    """The desk asked this one as a question with a known answer."""
    return "skip" in request.POST and request.session.get(CONTROL) == claim.public_id


def keep_control(*, by: Member, at: datetime, claim: Claim, verdict: str, basis: str, **unread: Any) -> Any:
    return actions.answer_control(by=by, at=at, claim=claim, verdict=verdict, basis=basis)


def vote_form(request: HttpRequest, claim: Claim, mine: Vote | None = None) -> VoteForm:
    examples = evidence.own_examples(signed_in(request), claim.variant.release)
    if request.method == "POST":
        return VoteForm(claim, examples, request.POST, auto_id="vote_%s")
    before = {"verdict": mine.verdict, "basis": mine.basis, "note": mine.note} if mine else {}
    return VoteForm(claim, examples, initial=before, auto_id="vote_%s")


def voted(request: HttpRequest, claim: Claim) -> HttpResponse:
    note_address(request)
    skip = request.POST.get("skip")
    if skip is not None and request.htmx:  # type: ignore[attr-defined]
        return render(request, "registry/_look.html", next_look(request, whole(skip)) | {"kept": claim})
    kept = _("Your vote on “%(claim)s” of %(variant)s is kept.") % {"claim": claim, "variant": claim.variant}
    weighs = said_of_weight(signed_in(request), claim)
    messages.success(request, f"{kept} {weighs}".rstrip())
    return redirect("review") if skip is not None else redirect("variant", public_id=claim.variant.public_id)


def said_of_weight(member: Member, claim: Claim) -> str:
    if not member.roles:
        return _("It is noted, but only reviewers’ votes count.")
    vote = Vote.objects.current().filter(by=member, claim=claim).first()
    if vote is None or vote.counts:
        return ""
    return _("It is noted, but does not count: you sell this, or votes are rushing in on it just now.")


@login_required
@require_POST
@said_plainly
def withdraw_vote(request: HttpRequest, public_id: str) -> HttpResponse:
    claim = found(Claim, public_id, "variant")
    actions.withdraw_vote(by=signed_in(request), at=timezone.now(), claim=claim)
    messages.success(request, _("Your vote on “%(claim)s” is taken back.") % {"claim": claim})
    return redirect("variant", public_id=claim.variant.public_id)
