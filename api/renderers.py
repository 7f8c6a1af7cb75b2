"""How answers are written."""

from __future__ import annotations

from typing import Any

import orjson
from rest_framework.renderers import BaseRenderer


class JSONRenderer(BaseRenderer):
    media_type = "application/json"
    format = "json"
    charset = None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> bytes:
        if data is None:
            return b""
        return orjson.dumps(data, default=str, option=orjson.OPT_UTC_Z)


class LinkedDataRenderer(JSONRenderer):
    media_type = "application/ld+json"
    format = "jsonld"


class GzipRenderer(BaseRenderer):
    """Only says that the type may be asked for; the view answers with the stored file itself."""

    media_type = "application/gzip"
    format = "gz"
    render_style = "binary"
    charset = None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> bytes:
        return bytes(data or b"")


class CSVRenderer(GzipRenderer):
    media_type = "text/csv"
    format = "csv"
