"""Which language a page is in: the one its reader chose, else what their browser asks for, else English.

What programs read (`/v1`, files of a List) is English for everybody: records are compared and digested.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils import translation

FOR_PROGRAMS = ("/v1/", "/v1.")


class LanguageMiddleware(LocaleMiddleware):
    def process_request(self, request: HttpRequest) -> None:
        if for_programs(request):
            translation.activate("en-gb")
            request.LANGUAGE_CODE = "en-gb"
        else:
            super().process_request(request)

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        return response if for_programs(request) else super().process_response(request, response)


def for_programs(request: HttpRequest) -> bool:
    return request.path_info.startswith(FOR_PROGRAMS)


def in_the_readers_language(one: str, many: str, n: int) -> str:
    """How a `Sentence` is translated. Of nothing, gettext would answer the head of its catalogue."""
    if not one:
        return one
    return translation.gettext(one) if one == many else translation.ngettext(one, many, n)
