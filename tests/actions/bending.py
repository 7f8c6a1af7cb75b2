"""Bending the journal by raw SQL, its guards lifted, as whoever owns the database could."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection

from registry.methods.chain import Finding, verify
from registry.models import JournalEntry
from registry.queries.journal import published_heads, whole_chain
from tests.conftest import append_only_lifted


@contextmanager
def unguarded() -> Iterator[Any]:
    """A cursor that the database lets change rows that are only ever added."""
    with connection.cursor() as cursor:
        if (
            connection.vendor == "postgresql"
        ):  # else the foreign keys still to be checked forbid lifting a trigger
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        with append_only_lifted(connection):
            yield cursor


def bend(statement: str, *values: object, **names: str) -> None:
    """`names` fill in what stands in braces; `table` is the journal's unless another is named."""
    with unguarded() as cursor:
        cursor.execute(statement.format(**{"table": "registry_journalentry", **names}), values)


def reading() -> Finding:
    return verify(whole_chain(), published_heads(), JournalEntry.objects.count())


def first_fault() -> tuple[int, str] | None:
    fault = reading().fault
    return (fault.number, fault.kind) if fault else None
