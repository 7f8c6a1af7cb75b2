"""Who did what, when."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import models

from .base import AppendOnly, AppendOnlyQuerySet
from .people import Member


class JournalQuerySet(AppendOnlyQuerySet["JournalEntry"]):
    def record(
        self, *, by: Member | None, verb: str, about: Any, at: datetime, detail: dict[str, Any] | None = None
    ) -> JournalEntry:
        """Write the one line of an action. `about` is the row it was done to; `detail` holds public ids only."""
        return self.create(
            by=by,
            verb=verb,
            about_kind=about._meta.model_name,
            about_id=about.public_id,
            at=at,
            detail=detail or {},
        )


class JournalEntry(AppendOnly):
    """One line per action, append-only. `detail` says enough to replay every standing from the journal alone."""

    by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="journal_entries")
    verb = models.CharField(max_length=40)
    about_kind = models.CharField(max_length=20)
    about_id = models.CharField(max_length=12)
    at = models.DateTimeField()
    detail = models.JSONField(default=dict)

    objects = JournalQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        verbose_name_plural = "journal entries"
        ordering = ["id"]
        indexes = [models.Index(fields=["about_kind", "about_id", "id"], name="journal_by_subject")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.verb}"
