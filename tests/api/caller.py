"""A small client of the API: JSON in and out, a token where one is held, a fresh key for every POST."""

from __future__ import annotations

import json
from datetime import timedelta
from itertools import count
from typing import Any

from django.test import Client
from django.utils import timezone

from registry import actions
from registry.models import Member, Token

_keys = count(1)


class Caller:
    """`Caller(member)` sends a token of that member with every scope; `Caller()` is anonymous."""

    def __init__(self, member: Member | None = None, scopes: list[str] | None = None, **headers: str) -> None:
        self.client = Client(raise_request_exception=True)
        self.headers = dict(headers)
        if member is not None:
            token, secret = actions.create_token(
                by=member, name="tests", scopes=scopes or list(Token.Scope.values), at=timezone.now()
            )
            self.token, self.secret = token, secret
            self.headers["Authorization"] = f"Bearer {secret}"

    def get(self, path: str, query: dict[str, Any] | None = None, **headers: str) -> Any:
        return self.send("GET", path, query=query, **headers)

    def post(self, path: str, body: Any = None, key: str | None = None, **headers: str) -> Any:
        headers = {"Idempotency-Key": key or f"key-{next(_keys)}", **named(headers)}
        return self.send("POST", path, {} if body is None else body, **headers)

    def put(self, path: str, body: Any, **headers: str) -> Any:
        return self.send("PUT", path, body, **headers)

    def patch(self, path: str, body: Any, match: str | None = None, **headers: str) -> Any:
        headers = {"Content-Type": "application/merge-patch+json", **named(headers)}
        return self.send("PATCH", path, body, **headers, **({"If-Match": match} if match else {}))

    def delete(self, path: str, query: dict[str, Any] | None = None, match: str | None = None) -> Any:
        return self.send("DELETE", path, query=query, **({"If-Match": match} if match else {}))

    def send(
        self, method: str, path: str, body: Any = None, query: dict[str, Any] | None = None, **headers: str
    ) -> Any:
        path = path if path.startswith(("/", "http")) else f"/v1/{path}"
        headers = {**self.headers, **named(headers)}
        kind = headers.pop("Content-Type", "application/json")
        sent = body if isinstance(body, bytes) else b"" if body is None else json.dumps(body).encode()
        return self.client.generic(
            method,
            path,
            sent,
            content_type=kind if body is not None else "",
            headers=headers,
            query_params=query,
        )

    def attach(self, picture: bytes, key: str | None = None, **said: str) -> Any:
        """Attach a picture as the whole body."""
        headers = {"Content-Type": "image/jpeg", "Idempotency-Key": key or f"key-{next(_keys)}"}
        return self.send("POST", "photos", picture, query=said, **headers)


def named(headers: dict[str, str]) -> dict[str, str]:
    """`if_none_match` as a header's name."""
    return {name.replace("_", "-"): value for name, value in headers.items()}


def problem(answer: Any, status: int, slug: str) -> dict[str, Any]:
    """The problem an answer tells of, after checking its form (RFC 9457)."""
    told = json.loads(answer.content) if answer.content else {}
    assert (answer.status_code, told.get("type")) == (status, f"/v1/problems/{slug}"), told
    assert answer["Content-Type"] == "application/problem+json"
    assert told["status"] == status
    assert told["title"]
    assert told["detail"]
    assert told["instance"].startswith("urn:uuid:")
    return told


def whole(answer: Any) -> bytes:
    """The body, sent at once or as a stream; a stream is closed by reading it."""
    return b"".join(answer.streaming_content) if answer.streaming else bytes(answer.content)


def pages(caller: Caller, path: str, **query: Any) -> list[Any]:
    """Every row of a list, by following `next`."""
    answer = caller.get(path, query)
    rows = list(answer.json()["results"])
    while following := answer.json()["next"]:
        assert answer["Link"] == f'<{following}>; rel="next"'
        answer = caller.get(following)
        rows += answer.json()["results"]
    return rows


LATER = timedelta(days=1)
