"""What is said of the order of variants: listed, stated, voted on, objected to, taken back; and codes read."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import HeldDispute, Line, Release, Statement
from registry.queries import statements
from registry.web.forms.order import CodePatternForm, ObjectionForm, OrderVoteForm, StatementForm
from registry.web.people import reader, signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found, survivor_page


def of_release(request: HttpRequest, public_id: str) -> HttpResponse:
    """All that stands of what was said about a release's order, and the form to say more."""
    release = found(Release, public_id, "line", "casting", "merged_into")
    if moved := survivor_page(release):
        return moved
    form = StatementForm(release, request.POST if request.method == "POST" else None)
    if request.method == "POST" and not request.user.is_authenticated:
        return redirect("account_login")
    if form.is_valid():
        made = attempt(request, form, actions.make_statement, release=release, **form.cleaned_data)
        if made:
            messages.success(request, _("Your statement is kept. Others can now vote on it."))
            return redirect("statement", public_id=made.public_id)
    given = {"release": release, "form": form, "statements": statements.statements_of(release)}
    return render(request, "registry/statements.html", given, status=status_for(form))


def statement(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Statement, public_id, *statements.RELATED)
    return render(request, "registry/statement.html", page_of(request, it))


def page_of(request: HttpRequest, it: Statement, **forms: Any) -> dict[str, Any]:
    page = statements.statement_page(it, reader(request))
    mine = page.mine
    before = {"verdict": mine.verdict, "basis": mine.basis, "note": mine.note} if mine else {}
    return {
        "statement": it,
        "page": page,
        "vote_form": OrderVoteForm(initial=before, auto_id="vote_%s"),
        "objection_form": ObjectionForm(auto_id="objection_%s"),
    } | forms


@login_required
@require_POST
def vote(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Statement, public_id, *statements.RELATED)
    form = OrderVoteForm(request.POST, auto_id="vote_%s")
    if form.is_valid() and attempt(request, form, actions.cast_vote, statement=it, **form.cleaned_data):
        if signed_in(request).roles:
            messages.success(request, _("Your vote is kept."))
        else:
            messages.success(request, _("Your vote is kept. It is noted, but only reviewers’ votes count."))
        return redirect("statement", public_id=public_id)
    return render(request, "registry/statement.html", page_of(request, it, vote_form=form), status=422)


@login_required
@require_POST
@said_plainly
def withdraw_vote(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Statement, public_id, "release")
    actions.withdraw_vote(by=signed_in(request), at=timezone.now(), statement=it)
    messages.success(request, _("Your vote is taken back."))
    return redirect("statement", public_id=public_id)


@login_required
@require_POST
def object_to(request: HttpRequest, public_id: str) -> HttpResponse:
    """Open a dispute of the statement; on its page a photograph can be brought."""
    it = found(Statement, public_id, *statements.RELATED)
    form = ObjectionForm(request.POST, auto_id="objection_%s")
    if form.is_valid():
        made = attempt(request, form, actions.open_dispute, statement=it, **form.cleaned_data)
        if isinstance(made, HeldDispute):
            return render(request, "registry/dispute_held.html", {"held": made}, status=202)
        if made:
            return redirect("dispute", public_id=made.public_id)
    return render(request, "registry/statement.html", page_of(request, it, objection_form=form), status=422)


@login_required
@require_POST
@said_plainly
def close(request: HttpRequest, public_id: str) -> HttpResponse:
    """Taken back by who made it, or by a moderator."""
    it = found(Statement, public_id, "release")
    actions.close_statement(statement=it, by=signed_in(request), at=timezone.now())
    messages.success(request, _("The statement is taken back."))
    return redirect("statements", public_id=it.release.public_id)


def codes(request: HttpRequest, public_id: str) -> HttpResponse:
    """How a line's codes are read; moderators add to it."""
    line = found(Line, public_id, "maker")
    member = reader(request)
    form = CodePatternForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and member is None:
        return redirect("account_login")
    if form.is_valid() and attempt(request, form, actions.add_code_pattern, line=line, **form.cleaned_data):
        messages.success(request, _("The code can be used from now on."))
        return redirect("line-codes", public_id=public_id)
    may_add = member is not None and member.is_moderator
    given = {"line": line, "patterns": statements.code_patterns(line), "form": form, "may_add": may_add}
    return render(request, "registry/line_codes.html", given, status=status_for(form))
