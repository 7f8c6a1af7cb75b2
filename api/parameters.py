"""What may stand in an address: known parameters, each once, each in range."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import QueryDict

from registry.methods.identifiers import parse_id

from .problems import Problem

SECRETS = frozenset({"token", "access_token", "api_key"})
LARGEST = 2**31 - 1


def refuse_secrets(query: QueryDict) -> None:
    """Errors: `parameter-unknown` for a token in the address."""
    for name in SECRETS & query.keys():
        raise Problem(
            "parameter-unknown",
            "A token never belongs in an address, where logs keep it. Revoke it, make a new one, and send that "
            "as `Authorization: Bearer TOKEN`.",
            parameter=name,
        )


def check_known(query: QueryDict, known: Iterable[str], repeatable_prefix: str | None = None) -> None:
    """Errors: `parameter-unknown` names the first that is not known, `parameter-out-of-range` a repeated one."""
    admitted = set(known)
    for name, values in query.lists():
        if repeatable_prefix and name.startswith(repeatable_prefix):
            continue
        if name not in admitted:
            among = ", ".join(sorted(admitted)) or "none"
            raise Problem(
                "parameter-unknown",
                f"{shown(name)} is not a parameter here. Known: {among}.",
                parameter=shown(name),
            )
        if len(values) > 1:
            raise out_of_range(name, ", ".join(values), "Give it once.")


def out_of_range(name: str, value: str, remedy: str) -> Problem:
    return Problem(
        "parameter-out-of-range", f"{name}: {shown(value)} cannot be used. {remedy}", parameter=name
    )


def whole(query: QueryDict, name: str, least: int, most: int, default: int) -> int:
    value = query.get(name)
    if value is None:
        return default
    if not (value.isascii() and value.isdigit() and len(value) < 12 and least <= int(value) <= most):
        raise out_of_range(name, value, f"Give a whole number from {least} to {most}.")
    return int(value)


def public_id(name: str, value: str) -> str:
    """The id in its one spelling, whichever way it was typed."""
    try:
        return parse_id(value)
    except ValueError as fault:
        raise out_of_range(name, value, str(fault)) from None


def shown(value: str) -> str:
    """A value as an answer may repeat it: short, and without control characters."""
    plain = "".join(symbol if symbol.isprintable() else "\N{REPLACEMENT CHARACTER}" for symbol in value[:60])
    return f"“{plain}{'…' if len(value) > 60 else ''}”"
