"""A variant at a point of its history, for views that are asked for one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from registry.methods.moments import parse_point
from registry.queries.then import Past, Then

from ..parameters import out_of_range
from ..problems import Problem

REVISION = ("variant", "number", "parent", "title", "nicknames", "claims", "author", "reason", "at", "digest")


def point(known: Past, name: str, text: str, parse: Callable[[str], int | datetime] = parse_point) -> Then:
    """Errors: `parameter-out-of-range`; `not-found` where the variant had no such revision, or was not there yet."""
    try:
        was = known.then(parse(text))
    except ValueError as fault:
        raise out_of_range(name, text, str(fault)) from None
    if was is None:
        raise Problem("not-found", "The variant had no such revision, or was not reported yet.")
    return was


def as_it_stood(was: Then) -> dict[str, Any]:
    """What `ThenOutput` shows."""
    revision = {name: getattr(was.revision, name) for name in REVISION}
    return revision | {"as_of": was.at, "standing": was.standing, "details": was.claims}
