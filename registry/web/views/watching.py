"""Follow a casting, an assortment or a line; what is new there, for me alone."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from registry import actions
from registry.models import Watch
from registry.models.base import Identified
from registry.queries import watching as query
from registry.web.people import signed_in
from registry.web.refusals import said_plainly
from registry.web.views.browse import found


@login_required
@never_cache
def watching(request: HttpRequest) -> HttpResponse:
    watches = query.watches_of(signed_in(request))
    return render(request, "registry/watching.html", {"watches": watches, "news": query.news(watches)})


@login_required
@require_POST
@said_plainly
def mark_seen(request: HttpRequest) -> HttpResponse:
    up_to = request.POST.get("up_to", "")
    if up_to.isdecimal() and len(up_to) < 19:
        actions.mark_news_seen(by=signed_in(request), at=timezone.now(), up_to=int(up_to))
    return redirect("watching")


def subject(kind: str, public_id: str) -> Identified:
    """The casting, assortment or line that an address names, or 404."""
    if kind not in query.SUBJECTS:
        raise Http404
    return found(query.SUBJECTS[kind], public_id)


@login_required
@require_POST
@said_plainly
def follow(request: HttpRequest, kind: str, public_id: str) -> HttpResponse:
    thing: Any = subject(kind, public_id)
    actions.follow(by=signed_in(request), at=timezone.now(), **{kind: thing})
    words = _("You follow %(thing)s. What happens there is told under “Following”.")
    messages.success(request, words % {"thing": thing})
    return redirect(kind, public_id=public_id)


def own_watch(request: HttpRequest, public_id: str) -> Watch:
    watch = found(Watch, public_id, "casting", "assortment", "line")
    if watch.member_id != request.user.pk:
        raise Http404
    return watch


@login_required
@require_POST
@said_plainly
def unfollow(request: HttpRequest, public_id: str) -> HttpResponse:
    watch = own_watch(request, public_id)
    actions.unfollow(watch=watch, by=signed_in(request), at=timezone.now())
    messages.success(request, _("You no longer follow %(thing)s.") % {"thing": watch})
    return redirect("watching")


@login_required
@require_POST
@said_plainly
def by_mail(request: HttpRequest, public_id: str) -> HttpResponse:
    """Be told by e-mail as well, or no longer."""
    watch = own_watch(request, public_id)
    wanted = request.POST.get("by_mail") == "yes"
    actions.tell_by_mail(watch=watch, by=signed_in(request), at=timezone.now(), by_mail=wanted)
    words = (
        _("News of %(thing)s come by e-mail too.")
        if wanted
        else _("News of %(thing)s no longer come by e-mail.")
    )
    messages.success(request, words % {"thing": watch})
    return redirect("watching")
