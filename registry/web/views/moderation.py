"""The moderators' desk: what was proposed, who may do what, and what is in dispute."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import wraps
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from registry import actions
from registry.actions import two_persons
from registry.errors import SecondStepNeeded
from registry.models import Casting, Member, Proposable, Role, Trait
from registry.queries import moderation as read
from registry.web.forms.moderation import (
    AcceptForm,
    AcceptTraitForm,
    MergeForm,
    RenameCastingForm,
    RenameForm,
    RoleForm,
)
from registry.web.naming import named
from registry.web.people import signed_in
from registry.web.refusals import attempt, refused, said_plainly
from registry.web.views.browse import found

View = Callable[..., HttpResponse]


def moderators_only(view: View) -> View:
    """Others are told so; the actions check again."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not getattr(request.user, "is_moderator", False):
            if Role.MODERATOR in getattr(request.user, "waiting_roles", ()):
                return refused(request, SecondStepNeeded())
            raise PermissionDenied
        return view(request, *args, **kwargs)

    return login_required(wrapped)


@moderators_only
def moderation(request: HttpRequest) -> HttpResponse:
    return desk(request, RoleForm())


def desk(request: HttpRequest, role_form: RoleForm, status: int = 200) -> HttpResponse:
    given = {"page": read.moderation_page(timezone.now()), "role_form": role_form}
    return render(request, "registry/moderation.html", given, status=status)


@moderators_only
def proposed(request: HttpRequest, kind: str, public_id: str) -> HttpResponse:
    """One proposed thing: accept it, give it a better name, or merge it into a known one."""
    thing = read.proposed_thing(kind, public_id)
    if thing is None:
        raise Http404
    do = request.POST.get("do", "")
    makers = {
        "accept": AcceptTraitForm if isinstance(thing, Trait) else AcceptForm,
        "rename": RenameCastingForm if isinstance(thing, Casting) else RenameForm,
        "merge": MergeForm,
    }
    forms = {name: make(initial=beginning(thing), auto_id=f"{name}_%s") for name, make in makers.items()}
    if request.method == "POST" and do in makers:
        forms[do] = makers[do](request.POST, auto_id=f"{do}_%s")
        if forms[do].is_valid() and ACTS[do](request, thing, forms[do]):
            messages.success(request, f"{thing}: done.")
            return redirect("moderation")
    given = {"thing": thing, "kind": kind, "forms": forms}
    return render(request, "registry/proposed.html", given, status=422 if do else 200)


def beginning(thing: Proposable) -> dict[str, Any]:
    known = {"name": getattr(thing, "name", ""), "alterable": getattr(thing, "alterable", False)}
    wheelbase = getattr(thing, "wheelbase_um", None)
    return known if wheelbase is None else {**known, "wheelbase": Decimal(wheelbase) / 1000}


def accept(request: HttpRequest, thing: Proposable, form: AcceptForm) -> Any:
    return attempt(request, form, actions.accept, thing=thing, **form.cleaned_data)


def rename(request: HttpRequest, thing: Proposable, form: RenameForm) -> Any:
    return attempt(request, form, actions.rename, thing=thing, **form.said())


def merge(request: HttpRequest, thing: Proposable, form: MergeForm) -> Any:
    into = named(type(thing), form.cleaned_data["into"])
    if into is None:
        form.add_error(
            "into", f"No {thing._meta.verbose_name} has this id. Copy it from the page of the known one."
        )
        return None
    return attempt(request, form, actions.merge, thing=thing, into=into)


ACTS: dict[str, Callable[[HttpRequest, Proposable, Any], Any]] = {
    "accept": accept,
    "rename": rename,
    "merge": merge,
}


@moderators_only
@require_POST
def grant_role(request: HttpRequest) -> HttpResponse:
    form = RoleForm(request.POST)
    if form.is_valid():
        said = form.cleaned_data
        member = read.member_called(said["member"])
        if member is None:
            form.add_error("member", "Nobody has this name. Write it as it stands beside their photographs.")
        elif asked := ask_for_role(request, form, member, said["role"], said["reason"]):
            return asked
    return desk(request, form, status=422)


def ask_for_role(
    request: HttpRequest, form: RoleForm, member: Member, role: str, reason: str
) -> HttpResponse | None:
    """Done at once by the only moderator; else it waits for another one, with 202."""
    detail = {"member": member.public_id, "role": role}
    pending = attempt(request, form, two_persons.ask, kind="role.grant", detail=detail, reason=reason)
    if form.errors:
        return None
    if pending is None:
        messages.success(request, f"{member} is now a {role}.")
        return redirect("moderation")
    messages.success(request, f"{member} will be a {role} once another moderator confirms it.")
    return desk(request, RoleForm(), status=202)


@moderators_only
@require_POST
@said_plainly
def revoke_role(request: HttpRequest, public_id: str) -> HttpResponse:
    member, role = found(Member, public_id), request.POST.get("role", "")
    actions.revoke_role(member=member, role=role, by=signed_in(request), at=timezone.now())
    messages.success(request, f"{member} is a {role} no more.")
    return redirect("moderation")
