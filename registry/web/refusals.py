"""Turn a refusal of the registry into words on a page, at the field they are about."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from registry.errors import (
    Busy,
    Conflict,
    InvalidField,
    NotFound,
    NotPermitted,
    RegistryError,
    TooMany,
    WrongMoment,
)
from registry.sentences import said

from .people import signed_in

STATUS = {NotPermitted: 403, NotFound: 404, WrongMoment: 409, Conflict: 409, TooMany: 429, Busy: 503}


def status_of(refusal: RegistryError) -> int:
    return next((status for family, status in STATUS.items() if isinstance(refusal, family)), 422)


def tell(form: Form, refusal: RegistryError) -> None:
    """Put the refusal where it belongs: at its field if the form shows that field, else at the form's head.

    At the field its name and value stand already, so only the remedy is told.
    """
    field = getattr(form, "aliases", {}).get(refusal.field, refusal.field)
    shown = next((name for name in (field, field.rpartition(".")[2]) if name in form.fields), None)
    form.add_error(shown, said(refusal.remedy if shown and isinstance(refusal, InvalidField) else refusal))


def attempt(request: HttpRequest, form: Form, action: Callable[..., Any], **given: Any) -> Any:
    """What the action answers; or nothing, and the form says why not."""
    try:
        return action(by=signed_in(request), at=timezone.now(), **given)
    except TooMany:
        raise  # nothing on the form would mend it: a page of its own says when to come back
    except RegistryError as refusal:
        tell(form, refusal)
        return None


def status_for(form: Form) -> int:
    """200 for a form to fill in, 422 for one to mend."""
    return 422 if form.is_bound and form.errors else 200


def refused(request: HttpRequest, refusal: RegistryError) -> HttpResponse:
    """A page that says why not."""
    answer = render(request, "registry/refused.html", {"refusal": said(refusal)}, status=status_of(refusal))
    if isinstance(refusal, TooMany | Busy):
        answer["Retry-After"] = str(refusal.retry_after)
    return answer


def said_plainly(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """For views without a form of their own: a refusal becomes a page that says so, with the right status."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except RegistryError as refusal:
            return refused(request, refusal)

    return wrapped


class TooManyMiddleware:
    """Whatever page an account sends too much from, it is told when it may go on."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        return refused(request, fault) if isinstance(fault, TooMany) else None
