"""What is shown when there is nothing to show. Programs under /v1 get problem details, people get a page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from registry.sentences import Sentence

TITLES = {
    400: Sentence("The request cannot be read."),
    403: Sentence("You may not do that."),
    404: Sentence("There is nothing at this address."),
    500: Sentence("Something went wrong on our side."),
}
SLUGS = {400: "bad-request", 403: "not-permitted", 404: "not-found", 500: "internal-error"}


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return answer(request, 400)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return answer(request, 403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return answer(request, 404)


def server_error(request: HttpRequest) -> HttpResponse:
    return answer(request, 500)


def answer(request: HttpRequest, status: int) -> HttpResponse:
    if request.path.startswith("/v1/"):
        problem: dict[str, Any] = {
            "type": f"/v1/problems/{SLUGS[status]}",
            "title": TITLES[status],
            "status": status,
        }
        return JsonResponse(problem, status=status, content_type="application/problem+json")
    return render(request, f"{status}.html", {"title": TITLES[status]}, status=status)
