"""What an action leaves behind: every row of the registry, and the journal lines that are new."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import pytest
from django.apps import apps

from registry.errors import RegistryError
from registry.models import JournalEntry


def everything() -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all tables of the registry."""
    models = apps.get_app_config("registry").get_models(include_auto_created=True)
    return {model._meta.db_table: list(model._base_manager.order_by("pk").values_list()) for model in models}


@contextmanager
def refused(error: type[RegistryError], *, field: str = "", says: Sequence[str] = ()) -> Iterator[Any]:
    """The action inside refuses with this error, naming the field and these words, and leaves nothing behind."""
    before = everything()
    with pytest.raises(error) as caught:
        yield caught
    refusal = caught.value
    assert type(refusal) is error
    assert refusal.field == field
    for word in says:
        assert word in str(refusal)
    assert everything() == before


@contextmanager
def journal_lines() -> Iterator[list[JournalEntry]]:
    """The lines that what is done inside adds to the journal."""
    lines: list[JournalEntry] = []
    last = JournalEntry.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    yield lines
    lines += JournalEntry.objects.filter(pk__gt=last).select_related("by").order_by("pk")
