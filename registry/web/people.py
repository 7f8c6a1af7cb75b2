"""Who is looking."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from registry import actions
from registry.methods.addresses import sender
from registry.models import Member


def signed_in(request: HttpRequest) -> Member:
    """The member behind a view that asks for an account."""
    member = request.user
    assert isinstance(member, Member), "the view asks for an account"
    return member


def reader(request: HttpRequest) -> Member | None:
    """The member who reads a page that is open to all, if it is one."""
    return request.user if isinstance(request.user, Member) else None


def note_address(request: HttpRequest) -> None:
    """Of a vote that was kept: from which address prefix, as a keyed digest."""
    seen = request.META.get("REMOTE_ADDR", ""), request.META.get("HTTP_X_FORWARDED_FOR", "")
    address = sender(*seen, settings.BEHIND_PROXIES)
    actions.note_address(member=signed_in(request), address=address, at=timezone.now())
