"""`fields=id,title,claims.body`: an answer with only the members asked for."""

from __future__ import annotations

import re
from typing import Any

from rest_framework import serializers

from .parameters import out_of_range

DEEPEST = 3
MOST = 50
NAME = re.compile(r"[a-z0-9_]{1,40}(\.[a-z0-9_]{1,40}){0,2}")

Tree = dict[str, "Tree"]


def parse(text: str | None, serializer: serializers.BaseSerializer[Any]) -> Tree | None:
    """The members asked for, as a tree; None where nothing was asked. Errors: a name that the answer never has."""
    if text is None:
        return None
    names = text.split(",")
    if len(names) > MOST:
        raise out_of_range("fields", text, f"Name at most {MOST} members.")
    wanted: Tree = {}
    for name in names:
        if not NAME.fullmatch(name):
            raise out_of_range(
                "fields", name, f"Name members with commas between, dots for depth, {DEEPEST} at most."
            )
        _check(name.split("."), serializer, name)
        branch = wanted
        for step in name.split("."):
            branch = branch.setdefault(step, {})
    return wanted


def _check(steps: list[str], node: Any, name: str) -> None:
    """Walk the serializer along the steps; a map of free keys admits any name."""
    for step in steps:
        if isinstance(node, serializers.ListSerializer | serializers.ListField):
            node = node.child
        if isinstance(node, serializers.DictField):
            node = node.child
            continue
        known = node.fields if isinstance(node, serializers.Serializer) else {}
        if step not in known:
            among = ", ".join(known) or "nothing deeper"
            raise out_of_range("fields", name, f"{step} is not a member here. Known: {among}.")
        node = known[step]


def select(value: Any, wanted: Tree | None) -> Any:
    """The value with only the wanted members, in the value's own order."""
    if not wanted:
        return value
    if isinstance(value, list):
        return [select(one, wanted) for one in value]
    if isinstance(value, dict):
        return {key: select(member, wanted[key]) for key, member in value.items() if key in wanted}
    return value
