"""The journal, read: its personal words put back where they are still known, and its heads in published editions."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from registry.methods.chain import Entry, Head, replaced
from registry.models import Edition, JournalEntry, JournalSecret
from registry.models.base import Identified


def details_as_read(lines: Iterable[JournalEntry]) -> dict[int, dict[str, Any]]:
    """What each line says, by number: words that are still known stand where their commitments are. Queries: 1.

    A commitment that is left, `{"commitment": hex}`, stands for words that were erased.
    """
    chosen = list(lines)
    known: dict[int, dict[str, Any]] = {}
    for secret in JournalSecret.objects.filter(entry__in=chosen):
        known.setdefault(secret.entry_id, {})[secret.path] = secret.value
    return {line.number: replaced(line.detail, known.get(line.pk, {})) for line in chosen}


def reason_of(verb: str, about: Identified) -> str:
    """Why that was last done to it; nothing where the words were erased with who said them. Queries: 2."""
    lines = JournalEntry.objects.filter(
        about_kind=about._meta.model_name, about_id=about.public_id, verb=verb
    )
    last = lines.order_by("-number")[:1]
    return next(
        (why for said in details_as_read(last).values() if isinstance(why := said.get("reason"), str)), ""
    )


def whole_chain() -> Iterator[Entry]:
    """Every line, in order of number, few at a time in memory."""
    for line in JournalEntry.objects.select_related("by").order_by("number", "pk").iterator(2000):
        yield line.entry()


def published_heads() -> list[Head]:
    """What published editions say of the journal. Queries: 1."""
    heads = []
    for edition in Edition.objects.order_by("number").only("number", "document"):
        said = json.loads(edition.document).get("journal")
        if said:
            heads.append(Head(said["size"], said["head"], str(edition)))
    return heads
