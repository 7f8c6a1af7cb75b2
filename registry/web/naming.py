"""Public ids in addresses: forgiving to read, strict to show."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse, HttpResponsePermanentRedirect
from django.urls import URLPattern, path, register_converter, reverse

from registry.methods.identifiers import parse_id
from registry.models.base import Identified

View = Callable[..., HttpResponse]
M = TypeVar("M", bound=Identified)


class PublicIdConverter:
    """Any spelling of a public id. One whose check symbol is wrong matches nothing: 404 without a query."""

    regex = "[^/]{12,40}"

    def to_python(self, value: str) -> str:
        return parse_id(value)

    def to_url(self, value: str) -> str:
        return value


register_converter(PublicIdConverter, "id")


def page(route: str, view: View, name: str) -> URLPattern:
    """A route whose every other spelling (capitals, hyphens, spaces in the id) leads to the canonical one."""

    @wraps(view)
    def canonical(request: HttpRequest, **named: Any) -> HttpResponse:
        if named and request.method in ("GET", "HEAD"):
            address = reverse(name, kwargs=named)
            if address != request.path:
                query = request.META.get("QUERY_STRING", "")
                return HttpResponsePermanentRedirect(f"{address}?{query}" if query else address)
        return view(request, **named)

    return path(route, canonical, name=name)


def named(model: type[M], spelled: str) -> M | None:
    """The record that an id names, however it is spelled; nothing where it names none."""
    try:
        public_id = parse_id(spelled)
    except ValueError:
        return None
    return model._default_manager.filter(public_id=public_id).first()
