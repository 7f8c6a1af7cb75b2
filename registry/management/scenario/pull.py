"""Another program: fetches an edition over HTTP, checks its digest, and asks once more to hear `304`."""

from __future__ import annotations

import gzip
import hashlib
import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

from django.core.wsgi import get_wsgi_application
from django.db import connections

from .files import ScenarioFault

LOOPBACK = "127.0.0.1"
PATIENCE_S = 30


@dataclass(frozen=True)
class Pulled:
    """An edition as the other program holds it."""

    document: dict[str, Any]
    digest: str
    """SHA-256 of edition.json."""
    records: list[dict[str, Any]]
    is_unchanged: bool
    """Asked again with the ETag it had been given, the site answered that nothing is newer."""


class Silent(WSGIRequestHandler):
    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: the demo tells what was fetched."""


@contextmanager
def served_on_loopback() -> Iterator[str]:
    """The site, answering on a free port of this machine from a thread of its own. Yields its address."""
    server = make_server(LOOPBACK, 0, get_wsgi_application(), WSGIServer, Silent)
    thread = threading.Thread(target=serve, args=(server,), daemon=True)
    thread.start()
    try:
        yield f"http://{LOOPBACK}:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def serve(server: WSGIServer) -> None:
    try:
        server.serve_forever(poll_interval=0.05)
    finally:
        connections.close_all()


def pull(site: str, number: int) -> Pulled:
    """Errors: ScenarioFault where the site refuses, or the list is not the one that the edition names."""
    address = f"{site}/v1/editions/{number}"
    text, etag = fetch(f"{address}/edition.json")
    packed, _ = fetch(f"{address}/variants.ndjson.gz")
    document, lines = json.loads(text), gzip.decompress(packed)
    if hashlib.sha256(lines).hexdigest() != document["digest"]:
        raise ScenarioFault(f"The list at {address} is not the one that its edition.json names.")
    return Pulled(
        document=document,
        digest=hashlib.sha256(text).hexdigest(),
        records=[json.loads(line) for line in lines.splitlines()],
        is_unchanged=is_unchanged(f"{address}/edition.json", etag),
    )


def fetch(address: str) -> tuple[bytes, str]:
    """The body and its ETag."""
    try:
        with urlopen(address, timeout=PATIENCE_S) as answer:  # noqa: S310  (our own loopback address)
            return answer.read(), answer.headers.get("ETag", "")
    except URLError as fault:
        raise ScenarioFault(
            f"{address} could not be fetched: {fault}. If CASTLORE_HOSTS is set, add {LOOPBACK} to it."
        ) from fault


def is_unchanged(address: str, etag: str) -> bool:
    again = Request(address, headers={"If-None-Match": etag})  # noqa: S310  (our own loopback address)
    try:
        with urlopen(again, timeout=PATIENCE_S):  # noqa: S310  (our own loopback address)
            return False
    except HTTPError as answer:
        return answer.code == 304
