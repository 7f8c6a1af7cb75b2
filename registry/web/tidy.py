"""A draft's content as the pages can show it, whoever wrote it: what is not of a report's shape is left out.

Programs may keep half a draft in whatever shape they like; only sending it is strict. Here it is read, never judged.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from registry.actions import parse_fragment
from registry.errors import InvalidField

from .drafts import Content

TEXTS = ("title", "note", "noticed_in", "cause")


def tidy(content: object) -> Content:
    """The parts that have the shape the steps write themselves."""
    said = content if isinstance(content, dict) else {}
    kept: Content = {field: said[field] for field in TEXTS if isinstance(said.get(field), str)}
    return kept | {
        "nicknames": texts(said.get("nicknames")),
        "claims": [claim for claim in items(said.get("claims"), "trait", "state") if maybe_text(claim, "base_state")],
        "examples": [example for example in items(said.get("examples"), "ref", "condition") if is_flat(example)],
        "photos": [
            {**photo, "examples": texts(photo.get("examples")), "views": texts(photo.get("views"))}
            for photo in items(said.get("photos"), "photo")
        ],
        "marks": [mark for mark in items(said.get("marks"), "photo", "example", "trait", "xywh") if is_region(mark)],
        "sightings": [one for one in items(said.get("sightings"), "scope", "seen_on") if is_find(one)],
        "proposes": tidy_proposals(said.get("proposes")),
    }  # fmt: skip


def tidy_proposals(proposes: object) -> dict[str, Any]:
    said = proposes if isinstance(proposes, dict) else {}
    things = {
        kind: said[kind]
        for kind in ("casting", "release", "pack")
        if isinstance(said.get(kind), dict) and is_flat(said[kind])
    }
    return things | {
        "traits": [trait for trait in items(said.get("traits"), "ref", "name", "place") if is_flat(trait)],
        "states": [state for state in items(said.get("states"), "ref", "name", "trait") if is_flat(state)],
    }


def items(value: object, *texts_needed: str) -> list[dict[str, Any]]:
    """The objects of a list that have text under each of these names."""
    listed = value if isinstance(value, list) else []
    return [
        item
        for item in listed
        if isinstance(item, dict) and all(isinstance(item.get(name), str) for name in texts_needed)
    ]


def texts(value: object) -> list[str]:
    return [one for one in value if isinstance(one, str)] if isinstance(value, list) else []


def maybe_text(item: dict[str, Any], name: str) -> bool:
    return isinstance(item.get(name), (str, type(None)))


def is_flat(item: dict[str, Any]) -> bool:
    return not any(isinstance(value, (dict, list)) for value in item.values())


def is_find(sighting: dict[str, Any]) -> bool:
    try:
        date.fromisoformat(sighting["seen_on"])
    except ValueError:
        return False
    return is_flat(sighting)


def is_region(mark: dict[str, Any]) -> bool:
    try:
        parse_fragment(mark["xywh"])
    except InvalidField:
        return False
    return True
