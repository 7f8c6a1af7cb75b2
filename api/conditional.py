"""Entity tags and preconditions. Source: RFC 9110 sections 8.8.3 and 13; RFC 6585 section 3 for 428 (from memory)."""

from __future__ import annotations

import hashlib
import re
from typing import Any

from rest_framework.request import Request

from .problems import Problem

TAG = re.compile(r'(?:W/)?"[\x21\x23-\x7e\x80-\xff]*"')


def tag_of(content: bytes) -> str:
    """A strong tag of one representation."""
    return f'"{hashlib.sha256(content).hexdigest()[:32]}"'


def tag_of_record(digest: str) -> str:
    """The tag of a canonical record: the first 32 hex digits of its digest, as editions state it."""
    return f'"{digest[:32]}"'


def is_current(request: Request, etag: str) -> bool:
    """Whether the client already has this representation: If-None-Match, compared weakly."""
    field = request.headers.get("If-None-Match", "")
    if field.strip() == "*":
        return True
    return etag in {tag.removeprefix("W/") for tag in TAG.findall(field)}


def require_match(request: Request, etag: str, revision: int | None = None) -> None:
    """A change names the copy it was made to. Errors: 428 without If-Match, 412 where it is another copy's.

    Compared strongly: a weak tag never matches.
    """
    field = request.headers.get("If-Match")
    if field is None:
        raise Problem("if-match-required")
    if field.strip() == "*" or etag in TAG.findall(field):
        return
    told: dict[str, Any] = {"etag": etag} if revision is None else {"etag": etag, "revision": revision}
    raise Problem("etag-stale", headers={"ETag": etag}, **told)
