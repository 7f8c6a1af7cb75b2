"""Who is looking."""

from __future__ import annotations

from django.http import HttpRequest

from registry.models import Member


def signed_in(request: HttpRequest) -> Member:
    """The member behind a view that asks for an account."""
    member = request.user
    assert isinstance(member, Member), "the view asks for an account"
    return member


def reader(request: HttpRequest) -> Member | None:
    """The member who looks, or nobody where there is no account."""
    return request.user if isinstance(request.user, Member) else None
