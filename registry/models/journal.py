"""Who did what, when: a chain of lines, and beside it the personal words that may be forgotten."""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from typing import Any

from django.db import connection, models, transaction

from registry.methods.chain import (
    BEGINNING,
    SALT_BYTES,
    Entry,
    commitment,
    linked,
    personal_parts,
    replaced,
)

from .base import AppendOnly, AppendOnlyQuerySet
from .people import Member

ONE_WRITER = 5_064_001
"""The PostgreSQL advisory lock that whoever adds to the journal holds until their transaction ends."""

_waiting: ContextVar[list[JournalEntry] | None] = ContextVar("journal_lines_waiting", default=None)


@contextmanager
def journal_last() -> Iterator[None]:
    """Lines recorded inside are written together at the end, however deep they were recorded; on a refusal, none.

    So the journal is locked last, when nothing else is waited for: its lock makes nobody wait for long, and no two
    transactions can wait for each other over it.
    """
    outer = _waiting.get()
    lines: list[JournalEntry] = []
    token = _waiting.set(lines)
    try:
        yield
    finally:
        _waiting.reset(token)
    if outer is None:
        write(lines)
    else:
        outer.extend(lines)


@transaction.atomic
def write(lines: list[JournalEntry]) -> None:
    """Number the lines, chain them to the last one, and add them. Queries: 2, on PostgreSQL 3; 1 more for secrets."""
    if not lines:
        return
    if connection.vendor == "postgresql":  # on SQLite one transaction writes at a time anyway
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [ONE_WRITER])
    hidden = [hide_personal(line) for line in lines]
    number, digest = JournalEntry.objects.head()
    for line, entry in zip(lines, linked((line.entry() for line in lines), digest, number), strict=True):
        line.number, line.previous, line.digest = entry.number, entry.previous, entry.digest
    JournalEntry.objects.bulk_create(lines)
    kept = [
        JournalSecret(entry=line, path=path, salt=salt, value=value)
        for line, parts in zip(lines, hidden, strict=True)
        for path, (salt, value) in parts.items()
    ]
    if kept:
        JournalSecret.objects.bulk_create(kept)


def hide_personal(line: JournalEntry) -> dict[str, tuple[str, Any]]:
    """Put commitments in the place of what is personal; answers salt and value of each, by path."""
    parts = {
        path: (secrets.token_hex(SALT_BYTES), value) for path, value in personal_parts(line.detail).items()
    }
    sealed = {path: {"commitment": commitment(salt, value)} for path, (salt, value) in parts.items()}
    line.detail = replaced(line.detail, sealed)
    return parts


class JournalQuerySet(AppendOnlyQuerySet["JournalEntry"]):
    def record(
        self, *, by: Member | None, verb: str, about: Any, at: datetime, detail: dict[str, Any] | None = None
    ) -> None:
        """Note the one line of an action; it is written when the outermost action ends.

        `about` is the row it was done to, an edition or one with a public id. `detail` holds public ids and plain
        words, no fractions; a member's own words stand under one of the keys that registry.methods.chain.PERSONAL
        lists.
        """
        line = JournalEntry(
            by=by,
            verb=verb,
            about_kind=about._meta.model_name,
            about_id=getattr(about, "public_id", None) or str(about.number),
            at=at,
            detail=json.loads(json.dumps(detail or {})),
        )
        waiting = _waiting.get()
        if waiting is None:
            write([line])
        else:
            waiting.append(line)

    def head(self) -> tuple[int, str]:
        """Number and digest of the last line there is. Queries: 1."""
        last = self.order_by("-number").values_list("number", "digest").first()
        return last or (0, BEGINNING)


class JournalEntry(AppendOnly):
    """One line per action, append-only. `detail` says enough to replay every standing from the journal alone.

    `digest` covers all else that the line says and the digest of the line before: registry.methods.chain says how.
    """

    number = models.PositiveBigIntegerField(unique=True, help_text="1, 2, 3 and so on, without a gap.")
    by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="journal_entries")
    verb = models.CharField(max_length=40)
    about_kind = models.CharField(max_length=20)
    about_id = models.CharField(max_length=12)
    at = models.DateTimeField()
    detail = models.JSONField(default=dict)
    previous = models.CharField(max_length=64, help_text="Digest of the line before.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the line in canonical JSON.")

    objects = JournalQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        verbose_name_plural = "journal entries"
        ordering = ["number"]
        indexes = [models.Index(fields=["about_kind", "about_id", "id"], name="journal_by_subject")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.verb}"

    def entry(self) -> Entry:
        """The line as plain values."""
        return Entry(
            number=self.number or 0,
            verb=self.verb,
            about_kind=self.about_kind,
            about_id=self.about_id,
            at=self.at,
            by=self.by.public_id if self.by else None,
            detail=self.detail,
            previous=self.previous,
            digest=self.digest,
        )


class JournalSecret(models.Model):
    """A personal part of a journal line, with the salt that its commitment was made with. Erasure deletes the row."""

    entry = models.ForeignKey(JournalEntry, models.PROTECT, related_name="secrets")
    path = models.CharField(
        max_length=120, help_text="Where in the detail: keys and places, with dots between."
    )
    salt = models.CharField(max_length=64, help_text="Hex.")
    value = models.JSONField()

    class Meta:
        constraints = [models.UniqueConstraint("entry", "path", name="journal_secret_once_per_part")]

    def __str__(self) -> str:
        return f"{self.path} of line {self.entry_id}"
