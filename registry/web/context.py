"""What every template may use. No query is made here."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, Any]:
    """`is_home`: the start page, whose title needs no site name behind it."""
    match = request.resolver_match
    return {"is_home": bool(match and match.view_name == "home")}
