"""What was made for somebody who is signed in is kept by their browser alone, by nothing on the way to it."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control

READ = "_cached_user"
"""Where Django notes whose session it is once anything has asked."""


class OwnPagesMiddleware:
    """Pages say what their reader owns and has voted. `Vary: Cookie` alone is not kept by every cache."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        reader = getattr(request, READ, None)
        if reader is not None and reader.is_authenticated and "public" not in answer.get("Cache-Control", ""):
            patch_cache_control(answer, private=True)
        return answer
