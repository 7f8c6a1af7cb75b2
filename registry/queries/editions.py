"""Published editions, and what each of them changed."""

from __future__ import annotations

from registry.models import Edition, PublicationEntry


def published() -> list[Edition]:
    """Newest first. Queries: 1."""
    return list(Edition.objects.select_related("policy").order_by("-number"))


def changes_in(edition: Edition, most: int) -> list[PublicationEntry]:
    """What the edition added, changed or ended, by release, at most so many. Queries: 1."""
    entries = PublicationEntry.objects.filter(edition_number=edition.number).select_related(
        "variant__release"
    )
    return list(entries.order_by("kind", "variant__release__name", "position")[:most])


def next_number(edition: Edition) -> int | None:
    """Queries: 1."""
    return Edition.objects.filter(previous=edition).values_list("number", flat=True).first()
