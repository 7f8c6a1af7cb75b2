"""Which page of a long list is asked for."""

from __future__ import annotations

from django.http import HttpRequest


def page_number(request: HttpRequest) -> int:
    """Of `?page=`; 1 where it says nothing of use."""
    asked = request.GET.get("page", "")
    return int(asked) if asked.isascii() and asked.isdigit() and 0 < len(asked) < 5 and int(asked) else 1
