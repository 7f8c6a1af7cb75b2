"""Members, for moderators: who holds which role, and an account suspended or opened again, each with its reason."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from registry import actions
from registry.actions import two_persons
from registry.models import Member, Role
from registry.queries import moderation as read
from registry.web.forms.moderation import AccountForm, RevokeForm, RoleForm
from registry.web.paging import page_number
from registry.web.refusals import attempt, status_for
from registry.web.views.browse import found
from registry.web.views.moderation import desk, moderators_only


@moderators_only
def roles(request: HttpRequest) -> HttpResponse:
    return with_roles(request, RoleForm(initial={"member": request.GET.get("member", "")}))


def with_roles(request: HttpRequest, form: RoleForm) -> HttpResponse:
    given = {"grants": read.roles_held(), "form": form, "suspended": read.suspended(page_number(request))}
    return render(request, "registry/roles.html", given, status=status_for(form))


@moderators_only
@require_POST
def grant_role(request: HttpRequest) -> HttpResponse:
    form = RoleForm(request.POST)
    if form.is_valid():
        said = form.cleaned_data
        member = read.member_called(said["member"])
        if member is None:
            form.add_error(
                "member", _("Nobody has this name. Write it as it stands beside their photographs.")
            )
        elif asked := ask_for_role(request, form, member, said["role"], said["reason"]):
            return asked
    return with_roles(request, form)


def ask_for_role(
    request: HttpRequest, form: RoleForm, member: Member, role: str, reason: str
) -> HttpResponse | None:
    """Done at once by the only moderator; else it waits for another one, with 202."""
    detail = {"member": member.public_id, "role": role}
    words = {"member": member, "role": Role(role).label}
    pending = attempt(request, form, two_persons.ask, kind="role.grant", detail=detail, reason=reason)
    if form.errors:
        return None
    if pending is None:
        messages.success(request, _("%(member)s is now a %(role)s.") % words)
        return redirect("roles")
    messages.success(request, _("%(member)s will be a %(role)s once another moderator confirms it.") % words)
    return desk(request, status=202)


@moderators_only
def moderate_member(request: HttpRequest, public_id: str) -> HttpResponse:
    """What was decided of a member; on POST, close their account or open it again, with a reason."""
    it = found(Member, public_id)
    form = AccountForm(request.POST if request.method == "POST" else None)
    act: Any = actions.suspend if it.is_active else actions.reinstate
    wanted = wanted_of(it)
    if form.is_bound and request.POST.get("do") != wanted:
        form.add_error(None, _("Somebody decided this a moment ago. Look at what stands now."))
    if form.is_bound and form.is_valid():
        attempt(request, form, act, member=it, **form.cleaned_data)
        if not form.errors:
            done = _("%(member)s is suspended.") if wanted == "suspend" else _("%(member)s is active again.")
            messages.success(request, done % {"member": it})
            return redirect("moderate-member", public_id=it.public_id)
    page = read.member_page(it)
    return member_shown(request, page, form, RevokeForm(page.grants))


@moderators_only
@require_POST
def revoke_role(request: HttpRequest, public_id: str) -> HttpResponse:
    """Take a role away, with a reason."""
    page = read.member_page(found(Member, public_id))
    form = RevokeForm(page.grants, request.POST)
    if form.is_valid():
        attempt(request, form, actions.revoke_role, member=page.member, **form.cleaned_data)
        if not form.errors:
            words = {"member": page.member, "role": Role(form.cleaned_data["role"]).label}
            messages.success(request, _("%(member)s is a %(role)s no more.") % words)
            return redirect("moderate-member", public_id=page.member.public_id)
    return member_shown(request, page, AccountForm(), form)


def wanted_of(member: Member) -> str:
    return "suspend" if member.is_active else "reinstate"


def member_shown(
    request: HttpRequest, page: read.MemberPage, form: AccountForm, revoking: RevokeForm
) -> HttpResponse:
    given = {"page": page, "form": form, "revoking": revoking, "wanted": wanted_of(page.member)}
    status = max(status_for(form), status_for(revoking))
    return render(request, "registry/moderate_member.html", given, status=status)
