"""The moderators' desk: what waits, what was proposed, and the way to what they look up."""

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
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from registry import actions
from registry.errors import SecondStepNeeded
from registry.models import Casting, Member, Photo, Proposable, Role, Trait, Variant
from registry.queries import moderation as read
from registry.web.forms.moderation import (
    AcceptForm,
    AcceptTraitForm,
    MergeForm,
    RenameCastingForm,
    RenameForm,
)
from registry.web.naming import named
from registry.web.paging import page_number
from registry.web.refusals import attempt, refused

View = Callable[..., HttpResponse]
LONGEST = 120
WHERE: dict[type, str] = {Variant: "moderate-variant", Photo: "photo", Member: "moderate-member"}
"""The page of a moderator's steps on each kind of thing."""

KINDS: dict[str, Any] = {
    "casting": pgettext_lazy("proposed", "casting"),
    "release": pgettext_lazy("proposed", "release"),
    "trait": pgettext_lazy("proposed", "detail"),
    "state": pgettext_lazy("proposed", "state"),
    "pack": pgettext_lazy("proposed", "pack"),
}
HEADINGS: dict[str, tuple[Any, Any]] = {
    "casting": (gettext_lazy("Casting: %(thing)s"), gettext_lazy("Proposed casting: %(thing)s")),
    "release": (gettext_lazy("Release: %(thing)s"), gettext_lazy("Proposed release: %(thing)s")),
    "trait": (gettext_lazy("Detail: %(thing)s"), gettext_lazy("Proposed detail: %(thing)s")),
    "state": (gettext_lazy("State: %(thing)s"), gettext_lazy("Proposed state: %(thing)s")),
    "pack": (gettext_lazy("Pack: %(thing)s"), gettext_lazy("Proposed pack: %(thing)s")),
}
"""Over a thing's page for moderators: once it was accepted, and before."""
NO_SUCH_ID: dict[str, Any] = {
    "casting": gettext_lazy("No casting has this id. Copy it from the page of the known one."),
    "release": gettext_lazy("No release has this id. Copy it from the page of the known one."),
    "trait": gettext_lazy("No detail has this id. Copy it from the page of the known one."),
    "state": gettext_lazy("No state has this id. Copy it from the page of the known one."),
    "pack": gettext_lazy("No pack has this id. Copy it from the page of the known one."),
}


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
    return desk(request)


def desk(request: HttpRequest, status: int = 200) -> HttpResponse:
    given = {"page": read.moderation_page(timezone.now()), "kinds": KINDS}
    return render(request, "registry/moderation.html", given, status=status)


@moderators_only
def look_up(request: HttpRequest) -> HttpResponse:
    """To the page of what is meant, where it can be merged, split, taken down or suspended."""
    asked = request.GET.get("q", "")[:LONGEST].strip()
    found_here = read.looked_up(asked)
    if len(found_here.all) == 1:
        return redirect(WHERE[type(found_here.all[0])], public_id=found_here.all[0].public_id)
    return render(request, "registry/moderation_found.html", {"sought": asked, "found": found_here})


@moderators_only
def proposed_of_kind(request: HttpRequest, kind: str) -> HttpResponse:
    """All that waits of one kind."""
    if kind not in KINDS:
        raise Http404
    given = {"kind": KINDS[kind], "page": read.all_proposed(kind, page_number(request))}
    return render(request, "registry/proposed_of_kind.html", given)


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
            messages.success(request, _("%(thing)s: done.") % {"thing": thing})
            return redirect("moderation")
    heading = HEADINGS[kind][0 if thing.is_accepted else 1] % {"thing": thing}
    given = {"thing": thing, "kind": kind, "heading": heading, "forms": forms}
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
        form.add_error("into", NO_SUCH_ID[str(thing._meta.model_name)])
        return None
    return attempt(request, form, actions.merge, thing=thing, into=into, reason=form.cleaned_data["reason"])


ACTS: dict[str, Callable[[HttpRequest, Proposable, Any], Any]] = {
    "accept": accept,
    "rename": rename,
    "merge": merge,
}
