"""A draft's content as the steps of the report edit it: plain functions, each giving the new content.

The content is the JSON that sending reads. What it proposes and the examples it speaks of carry a `ref`, by which
its claims and marks name them before they exist.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

Content = dict[str, Any]
NAMED = ("trait", "state", "base_state")


def fresh_ref(letter: str, items: Iterable[dict[str, Any]]) -> str:
    """A name not yet used in this draft: e1, e2 ..."""
    used = {item.get("ref") for item in items}
    return next(ref for n in range(1, 1000) if (ref := f"{letter}{n}") not in used)


def proposed(content: Content) -> dict[str, Any]:
    return dict(content.get("proposes") or {})


def propose(content: Content, kind: str, thing: dict[str, Any] | None) -> Content:
    """Set or drop the one casting, release or pack that the report proposes."""
    proposes = {key: value for key, value in proposed(content).items() if key != kind}
    return {**content, "proposes": proposes | ({kind: thing} if thing else {})}


def propose_one_more(content: Content, kind: str, thing: dict[str, Any]) -> Content:
    """Add a proposed trait or state under a fresh `ref`."""
    proposes = proposed(content)
    items = list(proposes.get(kind) or [])
    items.append({"ref": fresh_ref(kind[0], items), **thing})
    return {**content, "proposes": {**proposes, kind: items}}


def say_is_new(content: Content, field: str) -> Content:
    """Note that what the field proposes (`proposes.release.name`, `proposes.states.name`) is another than the known.

    The field names the kind only, so each proposed trait or state of that kind is noted.
    """
    kind, proposes = (field.split(".") + ["", ""])[1], proposed(content)
    said = proposes.get(kind)
    if isinstance(said, dict):
        proposes[kind] = {**said, "is_new": True}
    elif isinstance(said, list):
        proposes[kind] = [{**item, "is_new": True} for item in said]
    return {**content, "proposes": proposes}


def drop_proposal(content: Content, kind: str, ref: str) -> Content:
    """Take a proposed trait or state back, with the claims and marks that name it."""
    proposes, name = proposed(content), f"ref:{ref}"
    left = [item for item in proposes.get(kind) or [] if item.get("ref") != ref]
    content = {**content, "proposes": {**proposes, kind: left}}
    if kind == "traits":
        states = [state for state in left_states(content) if state.get("trait") != name]
        content["proposes"] = {**content["proposes"], "states": states}
    return without_orphans(content)


def left_states(content: Content) -> list[dict[str, Any]]:
    return list(proposed(content).get("states") or [])


def say_claims(content: Content, claims: list[dict[str, Any]]) -> Content:
    return without_orphans({**content, "claims": claims})


def add_example(content: Content, example: dict[str, Any]) -> Content:
    examples = list(content.get("examples") or [])
    return {**content, "examples": [*examples, {"ref": fresh_ref("e", examples), **example}]}


def drop_example(content: Content, ref: str) -> Content:
    """Take an example back, from the photos and marks as well."""
    name = f"ref:{ref}"
    photos = [
        {**photo, "examples": [example for example in photo.get("examples") or [] if example != name]}
        for photo in content.get("photos") or []
    ]
    return {
        **content,
        "examples": [example for example in content.get("examples") or [] if example.get("ref") != ref],
        "photos": photos,
        "marks": [mark for mark in content.get("marks") or [] if mark.get("example") != name],
    }


def describe_photo(content: Content, photo: str, examples: list[str], views: list[str]) -> Content:
    """Say which examples a photo shows, and from which sides."""
    others = [item for item in content.get("photos") or [] if item.get("photo") != photo]
    return {**content, "photos": [*others, {"photo": photo, "examples": examples, "views": views}]}


def described(content: Content, photo: str) -> dict[str, Any]:
    """What the draft says of a photo."""
    said = (item for item in content.get("photos") or [] if item.get("photo") == photo)
    return next(said, {"photo": photo, "examples": [], "views": []})


def add_mark(content: Content, mark: dict[str, Any]) -> Content:
    """Add a mark; the photo shows its example from then on."""
    said = described(content, mark["photo"])
    examples = [*said["examples"], *({mark["example"]} - set(said["examples"]))]
    content = describe_photo(content, mark["photo"], examples, said["views"])
    return {**content, "marks": [*(content.get("marks") or []), mark]}


def drop_mark(content: Content, at: int) -> Content:
    return {**content, "marks": [mark for n, mark in enumerate(content.get("marks") or []) if n != at]}


def add_sighting(content: Content, sighting: dict[str, Any]) -> Content:
    return {**content, "sightings": [*(content.get("sightings") or []), sighting]}


def drop_sighting(content: Content, at: int) -> Content:
    return {**content, "sightings": [one for n, one in enumerate(content.get("sightings") or []) if n != at]}


def follow_merges(content: Content, survivors: Mapping[str, str]) -> Content:
    """With what stands for each detail and state that was merged since the draft named it."""

    def followed(said: dict[str, Any]) -> dict[str, Any]:
        return {part: survivors.get(name, name) if part in NAMED else name for part, name in said.items()}

    named = {part: [followed(said) for said in content.get(part) or []] for part in ("claims", "marks")}
    return {**content, **named}


def take_over(
    content: Content, remarks: Iterable[Any], claims: list[dict[str, str]], item: dict[str, Any]
) -> Content:
    """With what others remarked on the draft's pictures: the item, the first state seen of each detail that the draft
    does not speak of, a mark where each was seen, and their sentences in the note. Done twice, it adds nothing twice.
    """
    said = {str(claim.get("trait")): claim for claim in content.get("claims") or []}
    for claim in claims:
        said.setdefault(claim["trait"], claim)
    content = {**content, "claims": list(said.values())}
    if not content.get("examples"):
        content = add_example(content, item)
    example, note = f"ref:{content['examples'][0]['ref']}", str(content.get("note") or "")
    for remark in remarks:
        if remark.sentence and remark.sentence not in note:
            note = f"{note} {remark.by}: {remark.sentence}".strip()[:500]
        trait = remark.seen.trait.public_id if remark.seen else ""
        if trait and said[trait].get("state") == remark.seen.public_id:
            mark = {"photo": remark.photo.public_id, "example": example, "trait": trait, "of": "variant"}
            mark["xywh"] = remark.fragment
            content = content if mark in (content.get("marks") or []) else add_mark(content, mark)
    return {**content, "note": note}


def without_orphans(content: Content) -> Content:
    """Claims and marks name only what exists or is still proposed."""
    proposes = proposed(content)
    refs = {f"ref:{item.get('ref')}" for kind in ("traits", "states") for item in proposes.get(kind) or []}

    def stands(name: object) -> bool:
        return not isinstance(name, str) or not name.startswith("ref:") or name in refs

    claims = [
        claim for claim in content.get("claims") or [] if all(stands(claim.get(part)) for part in NAMED)
    ]
    marks = [mark for mark in content.get("marks") or [] if stands(mark.get("trait"))]
    return {**content, "claims": claims, "marks": marks}
