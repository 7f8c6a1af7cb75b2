"""Long lists, one page at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True)
class Page(Generic[T]):
    """`before` and `after` are the numbers of the pages beside it, where there are any."""

    items: list[T]
    before: int | None
    after: int | None


def one_page(rows: Any, number: int, size: int) -> Page[Any]:
    """Of rows in a fixed order; the first page is number 1. Queries: 1."""
    first = (number - 1) * size
    found = list(rows[first : first + size + 1])
    after = number + 1 if len(found) > size else None
    return Page(found[:size], number - 1 if number > 1 else None, after)
