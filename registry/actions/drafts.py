"""Drafts of reports: kept on the server from the first keystroke, seen by their author alone until sent."""

from __future__ import annotations

import json
from datetime import datetime
from math import isfinite
from types import NoneType
from typing import Any

from registry.errors import AlreadyClosed, Conflict, InvalidField, NotFound
from registry.methods.shot_code import mint_code
from registry.models import (
    Casting,
    JournalEntry,
    Member,
    Release,
    ShotCode,
    Submission,
    SubmissionStatus,
    Variant,
)
from registry.models.base import in_english
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled
from .quotas import admit

CONTENT_KEYS = frozenset(
    {
        *("title", "nicknames", "note", "noticed_in", "cause", "claims", "examples", "photos", "marks"),
        *("sightings", "proposes"),
    }
)
CONTENT_MOST_BYTES = 200_000
CONTENT_MOST_DEPTH = 8


@journalled
def start_draft(
    *,
    by: Member,
    at: datetime,
    casting: Casting | None = None,
    release: Release | None = None,
    variant: Variant | None = None,
    differs_from: Variant | None = None,
    content: dict[str, Any] | None = None,
) -> Submission:
    """Begin a report. With `variant` it is one on that known variant; else it will make a new one."""
    draft = Submission(author=admit(by, "drafts", at), created_at=at, changed_at=at)
    fill(
        draft,
        casting=casting,
        release=release,
        variant=variant,
        differs_from=differs_from,
        content=content or {},
    )
    draft.save()
    ShotCode.objects.create(submission=draft, code=mint_code(), issued_at=at)
    JournalEntry.objects.record(by=by, verb="submission.started", about=draft, at=at)
    return draft


@journalled
def edit_draft(
    *, submission: Submission, by: Member, at: datetime, expected_revision: int | None = None, **changes: Any
) -> Submission:
    """Change casting, release, variant, differs_from or content of an own draft.

    Errors: NotFound for another member's draft, AlreadyClosed once sent, Conflict where `expected_revision` is not
    the draft's current one.
    """
    draft = own_draft(submission, by)
    if expected_revision is not None and expected_revision != draft.revision:
        raise Conflict
    fill(draft, **changes)
    draft.revision += 1
    draft.changed_at = at
    draft.save()
    JournalEntry.objects.record(by=by, verb="submission.edited", about=draft, at=at)
    return draft


@journalled
def withdraw_draft(*, submission: Submission, by: Member, at: datetime) -> Submission:
    """Give a draft up. What was sent stays; a wrong claim is disputed instead."""
    draft = own_draft(submission, by)
    draft.status = SubmissionStatus.WITHDRAWN
    draft.revision += 1
    draft.changed_at = at
    draft.save()
    JournalEntry.objects.record(by=by, verb="submission.withdrawn", about=draft, at=at)
    return draft


def own_draft(submission: Submission, by: Member) -> Submission:
    """The member's own draft, locked. Errors: NotFound, AlreadyClosed."""
    active(by)
    draft = Submission.objects.select_for_update().filter(pk=submission.pk, author=by).first()
    if draft is None:
        raise NotFound
    if draft.status != SubmissionStatus.DRAFT:
        raise AlreadyClosed(
            Sentence(
                "This report is %(status)s and can no longer be edited.",
                status=in_english(SubmissionStatus(draft.status).label),
            )
        )
    return draft


def fill(draft: Submission, **changes: Any) -> None:
    for name, value in changes.items():
        if name not in ("casting", "release", "variant", "differs_from", "content"):
            raise InvalidField(name, value, Sentence("This field of a draft cannot be written."))
        setattr(draft, name, value)
    if draft.variant_id and not draft.release_id:
        draft.release = draft.variant.release  # type: ignore[union-attr]
    if draft.release_id:
        draft.casting = draft.release.casting  # type: ignore[union-attr]
    check_outline(draft)


def check_outline(draft: Submission) -> None:
    """A draft may be unfinished, but not of another shape than a report, nor tied to things that do not fit."""
    content = draft.content
    if not isinstance(content, dict):
        raise InvalidField("content", type(content).__name__, Sentence("Send an object."))
    if unknown := sorted(str(key) for key in content if key not in CONTENT_KEYS):
        raise InvalidField(
            f"content.{unknown[0]}",
            unknown[0],
            Sentence("Use: %(ones)s.", ones=", ".join(sorted(CONTENT_KEYS))),
        )
    check_values(content)
    if len(json.dumps(content)) > CONTENT_MOST_BYTES:
        raise InvalidField(
            "content",
            "(too long)",
            Sentence(
                "Keep a report under %(most)s bytes.",
                most=f"{CONTENT_MOST_BYTES:,}",
            ),
        )
    for field in ("variant", "differs_from"):
        other: Variant | None = getattr(draft, field)
        if other and draft.release_id and other.release_id != draft.release_id:
            raise InvalidField(
                field, other.public_id, Sentence("Choose a variant of %(release)s.", release=draft.release)
            )


def check_values(content: dict[str, Any]) -> None:
    """Only what JSON and both databases can hold, and not nested without end. Errors: InvalidField."""
    waiting: list[tuple[str, object, int]] = [("content", content, 0)]
    while waiting:
        field, value, depth = waiting.pop()
        if depth > CONTENT_MOST_DEPTH:
            raise InvalidField(
                field,
                "(nested)",
                Sentence("Nest at most %(most)s levels.", most=CONTENT_MOST_DEPTH),
            )
        if isinstance(value, dict):
            for key, inner in value.items():
                if not isinstance(key, str):
                    raise InvalidField(field, key, Sentence("Name every member by text."))
                wording.refuse_controls(field, key)
                waiting.append((f"{field}.{key}"[:80], inner, depth + 1))
        elif isinstance(value, list):
            waiting += [(f"{field}[{at}]", inner, depth + 1) for at, inner in enumerate(value)]
        elif isinstance(value, str):
            wording.refuse_controls(field, value)
        elif isinstance(value, float) and not isfinite(value):
            raise InvalidField(field, value, Sentence("Send a number that is finite."))
        elif not isinstance(value, (bool, int, float, NoneType)):
            raise InvalidField(
                field, type(value).__name__, Sentence("Send text, a number, true, false or null.")
            )
