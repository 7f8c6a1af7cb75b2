"""The one place where a refusal becomes HTTP: application/problem+json for whatever goes wrong."""

from __future__ import annotations

import logging
import re
import uuid
from typing import Any

from django.core.exceptions import BadRequest, PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.core.signals import got_request_exception
from django.db import IntegrityError, OperationalError
from django.http import Http404, UnreadablePostError
from rest_framework import exceptions
from rest_framework.response import Response

from registry.errors import (
    Busy,
    Conflict,
    NotFound,
    NotPermitted,
    RegistryError,
    TooMany,
    Unacceptable,
    WrongMoment,
)

from .problems import KINDS, Problem, document

PROBLEM_TYPE = "application/problem+json"
FALLBACK = {
    NotPermitted: "not-permitted",
    NotFound: "not-found",
    WrongMoment: "wrong-moment",
    Unacceptable: "validation-failed",
    Conflict: "etag-stale",
    TooMany: "quota-reached",
    Busy: "overloaded",
    RegistryError: "refused",
}
log = logging.getLogger(__name__)


def handle(exc: Exception, context: dict[str, Any]) -> Response:
    """Answer any exception that a view let through. What nobody foresaw is logged and told without its insides."""
    problem = as_problem(exc)
    instance = str(uuid.uuid4())
    if isinstance(exc, Busy):
        log.warning("request %s: %s", instance, exc)
    elif problem.slug in ("internal", "overloaded") or isinstance(exc, IntegrityError):
        log.exception("request %s failed", instance, exc_info=exc)
    if problem.slug == "internal":
        got_request_exception.send(sender=type(context["view"]), request=context["request"])
    told = document(problem.slug, str(problem.detail), instance, problem.errors, problem.extra)
    answer = Response(told, status=problem.status_code, headers=problem.headers)
    answer.content_type = PROBLEM_TYPE
    return answer


def as_problem(exc: Exception) -> Problem:
    if isinstance(exc, Problem):
        return exc
    if isinstance(exc, RegistryError):
        return _of_registry(exc)
    if isinstance(exc, exceptions.APIException):
        return _of_framework(exc)
    if isinstance(exc, Http404):
        return Problem("not-found")
    if isinstance(exc, RequestDataTooBig):
        return Problem("too-large")
    if isinstance(exc, PermissionDenied):
        return Problem("not-permitted")
    if isinstance(exc, SuspiciousOperation | BadRequest | UnreadablePostError):
        return Problem("malformed")
    if isinstance(exc, IntegrityError):
        return Problem("wrong-moment", "Somebody wrote the same at that moment. Read it again, then repeat.")
    if isinstance(exc, OperationalError):
        return Problem("overloaded", headers={"Retry-After": "5"})
    return Problem("internal")


def _of_registry(refusal: RegistryError) -> Problem:
    slug = next(slug for family, slug in FALLBACK.items() if isinstance(refusal, family))
    if refusal.code in KINDS and KINDS[refusal.code].status == KINDS[slug].status:
        slug = refusal.code
    said = str(refusal)
    errors = (
        [{"pointer": pointer(refusal.field), "code": refusal.code, "detail": said}] if refusal.field else []
    )
    wait = (
        {"headers": {"Retry-After": str(refusal.retry_after)}} if isinstance(refusal, TooMany | Busy) else {}
    )
    return Problem(slug, said, errors=errors, **wait, **refusal.extra)


def _of_framework(exc: exceptions.APIException) -> Problem:
    if isinstance(exc, exceptions.ValidationError):
        errors = list(flatten(exc.get_full_details()))
        said = "; ".join(
            f"{error['pointer'].lstrip('/') or 'body'}: {error['detail']}" for error in errors[:5]
        )
        return Problem("validation-failed", said, errors=errors)
    if isinstance(exc, exceptions.Throttled):
        return Problem(
            "rate-limited", headers={"Retry-After": str(max(1, round(getattr(exc, "wait", None) or 1)))}
        )
    if isinstance(exc, exceptions.NotAuthenticated):
        return Problem("token-missing", headers=_challenge(exc))
    if isinstance(exc, exceptions.AuthenticationFailed):
        return Problem("token-expired", str(exc.detail), headers=_challenge(exc))
    if isinstance(exc, exceptions.MethodNotAllowed):
        return Problem("method", str(exc.detail))
    if isinstance(exc, exceptions.UnsupportedMediaType):
        return Problem("media-type", str(exc.detail))
    if isinstance(exc, exceptions.NotAcceptable):
        return Problem("representation")
    if isinstance(exc, exceptions.ParseError):
        return Problem("malformed", str(exc.detail))
    if isinstance(exc, exceptions.NotFound):
        return Problem("not-found")
    return Problem("not-permitted" if exc.status_code == 403 else "internal")


def _challenge(exc: exceptions.APIException) -> dict[str, str]:
    return {"WWW-Authenticate": getattr(exc, "auth_header", None) or 'Bearer realm="castlore"'}


def flatten(found: Any, path: str = "") -> Any:
    """Each message of nested validation errors with its JSON Pointer (RFC 6901)."""
    if isinstance(found, dict) and set(found) == {"message", "code"}:
        yield {"pointer": path, "code": str(found["code"]), "detail": str(found["message"])}
    elif isinstance(found, dict):
        for key, inner in found.items():
            step = "" if key == "non_field_errors" else "/" + str(key).replace("~", "~0").replace("/", "~1")
            yield from flatten(inner, path + step)
    elif isinstance(found, list):
        nested = len(found) > 0 and not all(
            isinstance(one, dict) and set(one) == {"message", "code"} for one in found
        )
        for place, inner in enumerate(found):
            yield from flatten(inner, f"{path}/{place}" if nested else path)


def pointer(field: str) -> str:
    """The JSON Pointer of a field that an action named, such as `claims[0].state`."""
    return "/" + re.sub(r"\[(\d+)\]", r".\1", field).replace(".", "/")
