"""What the scripts say, in one language."""

from __future__ import annotations

from hashlib import sha256
from typing import cast

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.i18n import JavaScriptCatalog

catalogue = JavaScriptCatalog.as_view(packages=["registry"])


def words(request: HttpRequest, language: str) -> HttpResponse:
    """Loaded by every page before our scripts; may be kept for an hour."""
    if language not in dict(settings.LANGUAGES):
        raise Http404
    with translation.override(language):
        answer = cast(HttpResponse, catalogue(request))
    etag = quote_etag(sha256(answer.content).hexdigest()[:32])
    answer["ETag"], answer["Cache-Control"] = etag, "public, max-age=3600"
    return get_conditional_response(request, etag=etag, response=answer) or answer
