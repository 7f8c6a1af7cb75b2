"""Marks as open data: W3C Web Annotations in JSON-LD, whose selector is a Media Fragment.

Source (from memory): Web Annotation Data Model, W3C Recommendation of 23 February 2017, sections 3 (annotations,
bodies, targets), 4.2.1 (fragment selector), 5 (pages); Media Fragments URI 1.0, section 4.2.2, for `xywh=percent:`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
MEDIA_TYPE = f'application/ld+json; profile="{CONTEXT}"'
MEDIA_FRAGMENTS = "http://www.w3.org/TR/media-frags/"
LICENCES = {
    "CC-BY-4.0": "https://creativecommons.org/licenses/by/4.0/",
    "CC0-1.0": "https://creativecommons.org/publicdomain/zero/1.0/",
}
FACTS = LICENCES["CC0-1.0"]
"""What is said is a fact and free; the picture keeps its own licence, beside it in the target."""


@dataclass(frozen=True, slots=True)
class MarkSource:
    """A mark. Ids are whole addresses; `creator` is the member's public id, None once they were erased; `fragment` as
    `xywh=percent:x,y,w,h`; `picture_licence` as SPDX names it."""

    id: str
    claim: str
    state: str
    words: str
    picture: str
    picture_licence: str
    fragment: str
    created: datetime
    creator: str | None = None
    note: str = ""


def annotation(mark: MarkSource, is_whole: bool = True) -> dict[str, Any]:
    """That the region shows the claim. `is_whole`: a document by itself, which names its context."""
    bodies: list[dict[str, Any]] = [
        text(mark.words, "describing"),
        {"type": "SpecificResource", "source": mark.claim, "purpose": "identifying"},
        {"type": "SpecificResource", "source": mark.state, "purpose": "classifying"},
    ]
    if mark.note:
        bodies.append(text(mark.note, "commenting"))
    told: dict[str, Any] = {"@context": CONTEXT} if is_whole else {}
    told |= {
        "id": mark.id,
        "type": "Annotation",
        "motivation": "describing",
        "created": moment(mark.created),
        "rights": FACTS,
    }
    if mark.creator:
        told["creator"] = {"type": "Person", "nickname": mark.creator}
    return told | {"body": bodies, "target": target(mark)}


def text(value: str, purpose: str) -> dict[str, Any]:
    return {"type": "TextualBody", "value": value, "format": "text/plain", "purpose": purpose}


def target(mark: MarkSource) -> dict[str, Any]:
    return {
        "type": "SpecificResource",
        "source": {
            "id": mark.picture,
            "type": "Image",
            "format": "image/jpeg",
            "rights": LICENCES[mark.picture_licence],
        },
        "selector": {"type": "FragmentSelector", "conformsTo": MEDIA_FRAGMENTS, "value": mark.fragment},
    }


def page(address: str, collection: str, marks: Sequence[MarkSource], following: str | None) -> dict[str, Any]:
    """A page of annotations, part of the collection of all on one picture; `following`: the next page's address."""
    told: dict[str, Any] = {
        "@context": CONTEXT,
        "id": address,
        "type": "AnnotationPage",
        "partOf": {"id": collection, "type": "AnnotationCollection"},
        "items": [annotation(mark, is_whole=False) for mark in marks],
    }
    return told | ({"next": following} if following else {})


def moment(at: datetime) -> str:
    """As xsd:dateTime, in UTC."""
    return at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
