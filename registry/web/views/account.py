"""My account: what I reported, how I voted, which programs may act for me; taking my data along, and leaving."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from registry import actions
from registry.actions.sign_out import sign_out_of
from registry.models import Sighting, Token
from registry.models.people import Role
from registry.queries import own
from registry.queries.export import own_data
from registry.web.forms.account import EraseForm, TokenForm
from registry.web.people import signed_in
from registry.web.refusals import attempt, said_plainly, status_for
from registry.web.views.browse import found

SCOPES = {
    Token.Scope.READ: pgettext_lazy("scope of a token", "read"),
    Token.Scope.CONTRIBUTE: pgettext_lazy("scope of a token", "contribute"),
    Token.Scope.REVIEW: pgettext_lazy("scope of a token", "review"),
    Token.Scope.CABINET: pgettext_lazy("scope of a token", "cabinet"),
    Token.Scope.MODERATE: pgettext_lazy("scope of a token", "moderate"),
    Token.Scope.ACCOUNT: pgettext_lazy("scope of a token", "account"),
}


@login_required
@never_cache
def account(request: HttpRequest) -> HttpResponse:
    return render(request, "registry/account.html", page_of(request))


def page_of(request: HttpRequest, **given: Any) -> dict[str, Any]:
    member, now = signed_in(request), timezone.now()
    page = own.account_page(member, now)
    waiting = [Role(role).label for role in sorted(member.waiting_roles)]
    return {"page": page, "token_form": TokenForm(), "waiting": waiting, "scopes": SCOPES, **given}


@login_required
@require_POST
@never_cache
def make_token(request: HttpRequest) -> HttpResponse:
    """The secret is on this one answer and nowhere else."""
    form = TokenForm(request.POST)
    made = attempt(request, form, actions.create_token, **form.cleaned_data) if form.is_valid() else None
    if made is None:
        return render(request, "registry/account.html", page_of(request, token_form=form), status=422)
    token, secret = made
    return render(request, "registry/token_made.html", {"token": token, "secret": secret})


@login_required
@require_POST
@said_plainly
def revoke_token(request: HttpRequest, public_id: str) -> HttpResponse:
    token = found(Token, public_id)
    actions.revoke_token(token=token, by=signed_in(request), at=timezone.now())
    messages.success(request, _("The token “%(name)s” has ended.") % {"name": token.name})
    return redirect("account")


@login_required
@require_POST
@said_plainly
def end_session(request: HttpRequest, number: int) -> HttpResponse:
    """Of one browser, such as that of a lost phone."""
    sign_out_of(by=signed_in(request), number=number)
    messages.success(request, _("That browser is signed out."))
    return redirect("usersessions_list")


@login_required
@require_POST
@said_plainly
def withdraw_sighting(request: HttpRequest, public_id: str) -> HttpResponse:
    sighting = found(Sighting, public_id)
    actions.withdraw_sighting(sighting=sighting, by=signed_in(request), at=timezone.now())
    messages.success(request, _("The sighting is taken back and no longer counts."))
    return redirect("account")


@login_required
@never_cache
def export(request: HttpRequest) -> HttpResponse:
    """All that is kept of me, as one file."""
    answer = JsonResponse(
        own_data(signed_in(request)), json_dumps_params={"indent": 1, "ensure_ascii": False}
    )
    answer["Content-Disposition"] = 'attachment; filename="my-data.json"'
    return answer


@login_required
@never_cache
@sensitive_post_parameters("password")
def erase(request: HttpRequest) -> HttpResponse:
    form = EraseForm(request, request.POST or None)
    if form.is_valid() and attempt(request, form, actions.erase_member, credit=form.cleaned_data["credit"]):
        logout(request)
        messages.success(request, _("Your account is erased. What you contributed stays, without your name."))
        return redirect("home")
    return render(request, "registry/erase.html", {"form": form}, status=status_for(form))
