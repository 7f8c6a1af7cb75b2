"""Pages of other sites may read what is public, and ask `identify`, which keeps nothing. No cookie goes with it."""

from __future__ import annotations

from corsheaders.middleware import ACCESS_CONTROL_ALLOW_METHODS, CorsMiddleware
from django.http import HttpRequest
from django.http.response import HttpResponseBase

ASKED_BY_POST = frozenset({"/v1/identify"})


class PublicCorsMiddleware(CorsMiddleware):
    """Which addresses those are stands in the settings, CORS_URLS_REGEX; there POST is allowed for none but these."""

    def add_response_headers(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        answer = super().add_response_headers(request, response)
        if request.path_info in ASKED_BY_POST and ACCESS_CONTROL_ALLOW_METHODS in answer:
            answer[ACCESS_CONTROL_ALLOW_METHODS] = "POST, OPTIONS"
        return answer
