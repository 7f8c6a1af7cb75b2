"""Rows that belong to a row, read in the same query: a few columns of a few rows, on either database."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from django.db import models
from django.db.models import JSONField, QuerySet, Subquery
from django.db.models.functions import JSONObject


class NestedRows(Subquery):
    """The rows of a queryset as a list of its model, holding only the columns named.

    For what hangs on a row and is shown in a line, such as the packs of a release; larger things deserve a query.
    Columns of another table (`into__title`) make its row too.
    """

    def __init__(self, rows: QuerySet[Any], *columns: str) -> None:
        self.model = rows.model
        super().__init__(
            rows.values(row=JSONObject(**{name: name for name in columns})), output_field=JSONField()
        )

    def as_sqlite(self, compiler: Any, connection: Any) -> Any:
        nested = '(SELECT json_group_array(json("row")) FROM (%(subquery)s) nested)'
        return self.as_sql(compiler, connection, template=nested)

    def as_postgresql(self, compiler: Any, connection: Any) -> Any:
        nested = "(SELECT COALESCE(jsonb_agg(\"row\"), '[]'::jsonb) FROM (%(subquery)s) nested)"
        return self.as_sql(compiler, connection, template=nested)

    def get_db_converters(self, connection: Any) -> list[Any]:
        return [*super().get_db_converters(connection), self._rows]

    def _rows(self, value: Any, expression: Any, connection: Any) -> list[Any]:
        return [row_of(self.model, columns) for columns in value or ()]


def row_of(model: type[models.Model], columns: dict[str, Any]) -> models.Model:
    """A row as `only` reads it: a column that was not named is asked for when it is read, and has no default."""
    named = [field for field in model._meta.concrete_fields if field.primary_key or field.attname in columns]
    values = [as_read(field, columns.get(field.attname)) for field in named]
    row = model.from_db(None, [field.attname for field in named], values)
    beside: dict[str, dict[str, Any]] = {}
    for name, value in columns.items():
        relation, _, column = name.partition("__")
        if column:
            beside.setdefault(relation, {})[column] = value
    for relation, found in beside.items():
        field: Any = model._meta.get_field(relation)
        other = row_of(field.related_model, found)
        other.pk = columns.get(field.attname)
        is_there = not field.null or any(value is not None for value in found.values())
        setattr(row, relation, other if is_there else None)
    return row


def as_read(field: Any, value: Any) -> Any:
    """A value of the field, from what JSON makes of it."""
    if isinstance(field, models.ForeignKey):
        return value
    if isinstance(field, JSONField) and isinstance(value, str):
        return json.loads(value)  # SQLite keeps JSON as text
    read = field.to_python(value)
    if isinstance(read, datetime) and read.tzinfo is None:
        return read.replace(tzinfo=UTC)  # and moments
    return read
