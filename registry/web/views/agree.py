"""My example agrees on everything I can see: a vote on each detail of a variant in one step."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from registry import actions
from registry.models import Variant, Vote
from registry.queries import evidence, review
from registry.queries.facts import seen_in_pack
from registry.web.forms.agree import UNSEEN, AgreeForm
from registry.web.people import note_address, signed_in
from registry.web.refusals import attempt, status_for
from registry.web.views.browse import found
from registry.web.views.review import whole

RELATED = ("release__line", "release__casting", "merged_into")


@login_required
def agree(request: HttpRequest, public_id: str) -> HttpResponse:
    """Each detail with what shows it, and the exceptions to tap. `desk` in the address leads back to the desk."""
    it = found(Variant, public_id, *RELATED)
    if it.is_gone:
        return redirect("variant", public_id=it.public_id)
    form = form_for(request, it)
    if form.is_valid():
        votes = attempt(request, form, actions.agree_with_example, variant=it, **form.said())
        if votes:
            return agreed(request, it, form, votes)
    return render(request, "registry/agree.html", page_of(it, form), status=status_for(form))


def form_for(request: HttpRequest, it: Variant) -> AgreeForm:
    """Of what the page showed: a detail that came while it was open was not looked at, and gets no vote."""
    member = signed_in(request)
    revision = it.revision_number
    if request.method == "POST":
        revision = whole(request.POST.get("base_revision", ""))
    claims = review.judged_by_eye(it, member, revision)
    mine = Vote.objects.current().filter(by=member, claim__in=claims)
    before = {pk: verdict for pk, verdict in mine.values_list("claim", "verdict") if pk}
    examples = evidence.own_examples(member, it.release)
    sent = request.POST if request.method == "POST" else None
    return AgreeForm(claims, before, examples, sent, initial={"base_revision": revision})


def page_of(it: Variant, form: AgreeForm) -> dict[str, Any]:
    in_pack, shown = seen_in_pack(it.release), review.first_marks(form.claims.values())
    details = [
        {
            "claim": claim,
            "field": field,
            "mark": shown.get(claim.pk),
            "in_pack": in_pack.get(claim.trait_id, claim.trait.seen_in_pack),
        }
        for claim, field in form.details()
    ]
    return {"variant": it, "form": form, "details": details}


def agreed(request: HttpRequest, it: Variant, form: AgreeForm, votes: list[Vote]) -> HttpResponse:
    note_address(request)
    unseen = len(form.those(UNSEEN))
    left = len(form.claims) - len(votes) - unseen
    kept = ngettext(
        "Kept: %(n)s vote on %(variant)s, by your example.",
        "Kept: %(n)s votes on %(variant)s, by your example.",
        len(votes),
    )
    words = [kept % {"n": len(votes), "variant": it}]
    if left:
        hidden = ngettext(
            "Left out: %(n)s that a sealed pack does not show.",
            "Left out: %(n)s that a sealed pack does not show.",
            left,
        )
        words.append(hidden % {"n": left})
    if not all(vote.counts for vote in votes):
        words.append(
            _("Not all of them count: you are no reviewer, you sell this, or votes are rushing in just now.")
        )
    messages.success(request, " ".join(words))
    return redirect("review") if "desk" in request.GET else redirect("variant", public_id=it.public_id)
