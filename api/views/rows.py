"""The two shapes of most views: a list of rows, and one row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.response import Response

from .. import selection
from ..parameters import check_known, out_of_range
from .base import ApiView


class ListView(ApiView):
    """GET answers with pages of `rows()`, filtered by the view's filters."""

    is_list = True
    filterset_class: Any = None
    sort_keys: Mapping[str, tuple[str, ...]] = {"id": ("public_id",)}

    def rows(self) -> Any:
        raise NotImplementedError

    def get(self, request: Request, **kwargs: Any) -> Response:
        """The rows, page by page."""
        wanted = selection.parse(request.query_params.get("fields"), self.get_serializer_class()())
        page = self.paginate_queryset(self.filtered(self.rows()))
        return self.get_paginated_response(selection.select(self.told_all(page), wanted))

    def told_all(self, page: Any) -> Any:
        return self.get_serializer_class()(page, many=True, context={"request": self.request}).data

    def filtered(self, rows: Any) -> Any:
        if self.filterset_class is None:
            return rows
        return self.filterset_class(self.request.query_params, queryset=rows, request=self.request).kept()

    def sort_columns(self, request: Request) -> tuple[str, ...]:
        asked = request.query_params.get("sort", next(iter(self.sort_keys)))
        if asked not in self.sort_keys:
            raise out_of_range("sort", asked, f"Choose one of: {', '.join(self.sort_keys)}.")
        return self.sort_keys[asked]

    def check_parameters(self, request: Request) -> None:
        if request.method not in SAFE_METHODS:
            return super().check_parameters(request)
        own = {"limit", "cursor", "fields"} | ({"sort"} if len(self.sort_keys) > 1 else set())
        prefix = getattr(self.filterset_class, "repeatable_prefix", None)
        check_known(request.query_params, own | set(self.filter_names()), prefix)

    def filter_names(self) -> list[str]:
        return list(self.filterset_class.base_filters) if self.filterset_class else []

    def created(self, row: Any) -> Response:
        """201 with the row as its own address will show it."""
        return self.show(row, status=201, Location=self.address_of(row))

    def address_of(self, row: Any) -> str:
        return reverse(f"v1:{self.record_name}", kwargs={"public_id": row.public_id})

    creates = True
    record_name = ""
    """Name of the route of one row."""


class RowView(ApiView):
    """About one of `rows()`."""

    def rows(self) -> Any:
        raise NotImplementedError

    def row(self, public_id: str, lock: bool = False) -> Any:
        return self.pick(self.rows().select_for_update(of=("self",)) if lock else self.rows(), public_id)


class RecordView(RowView):
    """GET answers with the row."""

    parameters = ("fields",)

    def get(self, request: Request, public_id: str) -> Response:
        """The record."""
        return self.show(self.row(public_id))
