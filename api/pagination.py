"""Pages by key: each page begins after the last row of the one before, so nothing is skipped or doubled."""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from django.core import signing
from django.db.models import Model, Q
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response

from .parameters import whole
from .problems import Problem

DEFAULT_LIMIT = 50
MOST = 200
FREE_TO_CHANGE = ("cursor", "limit", "fields")

signer = signing.Signer(salt="castlore.cursor")


class CursorPages(BasePagination):
    """`limit` 1 to 200 and an opaque signed cursor, bound to the path, the filters and the order.

    The view's `sort_keys` name the orders; each is a tuple of columns that together are unique.
    """

    parameters = ("limit", "cursor")

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any]:
        limit = whole(request.query_params, "limit", 1, MOST, DEFAULT_LIMIT)
        columns: tuple[str, ...] = view.sort_columns(request)
        rows = queryset.order_by(*columns)
        if cursor := request.query_params.get("cursor"):
            rows = rows.filter(after(columns, read_cursor(cursor, columns, request)))
        page = list(rows[: limit + 1])
        self.next: str | None = None
        if len(page) > limit:
            page.pop()
            self.next = self.address_after(page[-1], columns, request)
        return page

    def address_after(self, row: Model, columns: tuple[str, ...], request: Request) -> str:
        query = request.query_params.copy()
        query["cursor"] = signer.sign_object([binding(request), *(told(row, column) for column in columns)])
        return f"{request.build_absolute_uri(request.path)}?{query.urlencode()}"

    def get_paginated_response(self, data: Any) -> Response:
        headers = {"Link": f'<{self.next}>; rel="next"'} if self.next else {}
        return Response({"results": data, "next": self.next}, headers=headers)

    def get_paginated_response_schema(self, schema: Any) -> dict[str, Any]:
        return {
            "type": "object",
            "required": ["results", "next"],
            "properties": {
                "results": schema,
                "next": {
                    "type": ["string", "null"],
                    "format": "uri",
                    "description": "The next page, if there is one.",
                },
            },
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        limit = {"type": "integer", "minimum": 1, "maximum": MOST, "default": DEFAULT_LIMIT}
        return [
            {
                "name": "limit",
                "in": "query",
                "required": False,
                "schema": limit,
                "description": "Rows on a page.",
            },
            {
                "name": "cursor",
                "in": "query",
                "required": False,
                "schema": {"type": "string"},
                "description": "Where the page begins; taken from `next`, never made up.",
            },
        ]


def after(columns: tuple[str, ...], values: list[Any]) -> Q:
    """Rows that come later in the order of the columns."""
    condition = Q()
    for column, value in reversed(list(zip(columns, values, strict=True))):
        later = Q(**{f"{column}__gt": value})
        condition = later | (Q(**{column: value}) & condition) if condition else later
    first = columns[0]
    return condition & Q(**{f"{first}__gte": values[0]}) if len(columns) > 1 else condition


def told(row: Any, column: str) -> Any:
    for step in column.split("__"):
        row = getattr(row, step)
    return row.isoformat() if isinstance(row, date) else row


def read_cursor(cursor: str, columns: tuple[str, ...], request: Request) -> list[Any]:
    try:
        found, *values = signer.unsign_object(cursor)
    except (signing.BadSignature, ValueError, TypeError):
        raise Problem(
            "cursor-mismatch", "The cursor was altered or not made here. Begin again without one."
        ) from None
    if found != binding(request) or len(values) != len(columns):
        raise Problem("cursor-mismatch", "The cursor belongs to another list or other filters.")
    return list(values)


def binding(request: Request) -> str:
    """What a cursor is good for: this path with these filters in this order."""
    kept = sorted(
        (name, value)
        for name, values in request.query_params.lists()
        for value in values
        if name not in FREE_TO_CHANGE
    )
    return hashlib.sha256(repr((request.path, kept)).encode()).hexdigest()[:16]
