"""A POST sent twice acts once: the answer is kept in the transaction of the effect, and given again."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import datetime, timedelta
from typing import Any

import orjson
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import connection
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from registry.models import KeptReply

from .problems import Problem
from .renderers import JSONRenderer

KEY = re.compile(r"[\x21-\x7e]{1,128}")
KEPT_HEADERS = ("Location", "ETag")


def key_of(request: Request) -> str:
    key = request.headers.get("Idempotency-Key", "").strip()
    if not KEY.fullmatch(key):
        raise Problem("idempotency-key-missing")
    return key


def digest_of(data: Any) -> str:
    """What was asked for, whatever its spelling: the same members, and the same bytes of files."""
    running = hashlib.sha256()
    members = (
        data.lists() if hasattr(data, "lists") else data.items() if isinstance(data, dict) else [("", data)]
    )
    for name, value in sorted(members):
        running.update(repr(name).encode())
        for part in value if isinstance(value, list) else [value]:
            if isinstance(part, UploadedFile):
                for chunk in part.chunks():
                    running.update(chunk)
                part.seek(0)
            elif isinstance(part, bytes):
                running.update(part)
            else:
                running.update(json.dumps(part, sort_keys=True).encode())
    return running.hexdigest()


def named_by(request: Request) -> dict[str, Any]:
    """What tells one POST from another."""
    return {
        "member": request.user,
        "method": request.method,
        "path": request.path[:200],
        "key": key_of(request),
    }


def is_answered(request: Request) -> bool:
    """Whether an answer is kept, be it for this body or another. Without a lock: only `begin` is sure."""
    return KeptReply.objects.filter(**named_by(request), created_at__gte=lapsed(timezone.now())).exists()


def lapsed(now: datetime) -> datetime:
    """Answers kept before this moment are forgotten."""
    return now - timedelta(hours=settings.CASTLORE_REPLY_KEPT_HOURS)


def begin(request: Request, asked: str) -> KeptReply | Response:
    """Inside the transaction: the reply to a repetition, or a row to fill with the reply to come.

    Errors: `idempotency-in-progress` while the twin runs, `idempotency-key-reused` where the key was for another body.
    """
    named, now = named_by(request), timezone.now()
    refuse_while_running(request, named["key"])
    KeptReply.objects.filter(member=named["member"], created_at__lt=lapsed(now)).delete()
    kept = KeptReply.objects.filter(**named).first()
    if kept is None:
        return KeptReply.objects.create(**named, request_digest=asked, created_at=now)
    if kept.request_digest != asked:
        raise Problem("idempotency-key-reused")
    body = orjson.Fragment(kept.body) if kept.body else None
    return Response(body, status=kept.status, headers={**kept.headers, "Idempotency-Replayed": "true"})


def refuse_while_running(request: Request, key: str) -> None:
    """On PostgreSQL a lock held until the twin's transaction ends; on SQLite writers wait for each other anyway."""
    if connection.vendor != "postgresql":
        return
    name = hashlib.sha256(f"{request.user.pk} {request.method} {request.path} {key}".encode()).digest()
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [int.from_bytes(name[:8], "big", signed=True)])
        if not cursor.fetchone()[0]:
            raise Problem("idempotency-in-progress", headers={"Retry-After": "1"})


def keep(row: KeptReply, answer: Response, body: Any) -> None:
    """Fill the row with the answer, unless erasure has deleted it; `body` is what a repetition may see of it."""
    KeptReply.objects.filter(pk=row.pk).update(
        status=answer.status_code,
        body=JSONRenderer().render(body).decode(),
        headers={name: answer[name] for name in KEPT_HEADERS if name in answer},
    )
