"""How bodies are read: strictly, and within limits that hold before anything is built from them."""

from __future__ import annotations

import json
import re
from typing import Any

import orjson
from django.conf import settings
from rest_framework.parsers import BaseParser, MultiPartParser

from .problems import Problem

MOST_BYTES = 1_000_000
DEEPEST = 20
MOST_KEYS = 200
# An unclosed string swallows the rest, so that no part is read twice.
STRING = re.compile(rb'"(?:[^"\\]++|\\.)*+"?', re.DOTALL)
OPENING = b"[{"
NO_BRACKETS = bytes(set(range(256)) - set(b"[]{}"))


class StrictJSONParser(BaseParser):
    """RFC 8259 without what readers disagree on: repeated keys, infinities, half characters, great depth."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        return strict_json(read_up_to(stream, MOST_BYTES))


class MergePatchParser(StrictJSONParser):
    """A change to a record, as RFC 7396 describes."""

    media_type = "application/merge-patch+json"


PATCH_PARSERS = [MergePatchParser, StrictJSONParser]


class PictureParser(BaseParser):
    """A picture as the whole body. What it really is, its content decides, not its declared type."""

    media_type = "image/*"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> dict[str, bytes]:
        return {"data": read_up_to(stream, settings.CASTLORE_PHOTO_MAX_BYTES)}


class TableParser(BaseParser):
    """A table of rows as the whole body, left as it is for the action that reads it."""

    media_type = "text/csv"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> dict[str, bytes]:
        return {"data": read_up_to(stream, MOST_BYTES)}


class LinesParser(TableParser):
    """One JSON object on each line."""

    media_type = "application/x-ndjson"


class PictureFormParser(MultiPartParser):
    """A picture in a form. The whole body is bounded before any part of it is read."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        length = parser_context["request"].META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) > settings.CASTLORE_PHOTO_MAX_BYTES + 100_000:
            raise Problem("too-large")
        return super().parse(stream, media_type, parser_context)


def read_up_to(stream: Any, most: int) -> bytes:
    body: bytes = stream.read(most + 1)
    if len(body) > most:
        raise Problem("too-large", f"The body may have {most:,} bytes here.")
    return body


def strict_json(body: bytes) -> Any:
    if depth(body) > DEEPEST:
        raise Problem("malformed-json", f"The body is nested more than {DEEPEST} levels deep.")
    try:
        orjson.loads(body)  # refuses what json admits: NaN, infinities, half characters
        return json.loads(body, object_pairs_hook=_without_repeats)
    except ValueError as fault:
        raise Problem("malformed-json", f"The body is not plain JSON: {str(fault)[:120]}.") from None


def depth(body: bytes) -> int:
    """How deep brackets nest, outside strings; counted up to one more than is admitted."""
    deepest = now = 0
    for symbol in STRING.sub(b"", body).translate(None, NO_BRACKETS):
        now += 1 if symbol in OPENING else -1
        if now > deepest:
            deepest = now
            if deepest > DEEPEST:
                break
    return deepest


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > MOST_KEYS:
        raise ValueError(f"an object may have {MOST_KEYS} keys")
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key is repeated in one object")
    return found
