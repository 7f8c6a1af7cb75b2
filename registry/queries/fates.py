"""What became of a variant's id, for ever: when editions took it up or ended it, and what moderators did."""

from __future__ import annotations

from typing import Any

from registry.models import Edition, ModeratorEvent, ModeratorEventKind, Variant


def fate(variant: Variant) -> dict[str, Any]:
    """The fate document of an id, its events in order of time. Queries: 4."""
    events = [*of_editions(variant), *of_moderators(variant)]
    document = {
        "id": variant.public_id,
        "standing": variant.standing,
        "events": sorted(events, key=lambda one: one["at"]),
    }
    if variant.split_from:
        document["split_from"] = variant.split_from.public_id
    if variant.merged_into:
        document["into"] = variant.merged_into.public_id
    if parts := successors(variant):
        document["successors"] = [part.public_id for part in parts]
    return document


def of_editions(variant: Variant) -> list[dict[str, Any]]:
    named = Edition.objects.filter(number__in=variant.publications.values("edition_number"))
    issued = dict(named.values_list("number", "issued_at"))
    return [
        {
            "at": issued[entry.edition_number],
            "kind": entry.kind,
            "edition": entry.edition_number,
            "revision": entry.revision,
            "digest": entry.digest,
        }
        for entry in variant.publications.order_by("position")
    ]


def of_moderators(variant: Variant) -> list[dict[str, Any]]:
    told = []
    for event in fate_events(variant):
        said: dict[str, Any] = {"at": event.at, "kind": event.kind, "reason": event.reason}
        said |= {"reason_code": event.reason_code} if event.reason_code else {}
        told.append(said | ({"into": event.into.public_id} if event.into else {}))
    return told


def fate_events(variant: Variant) -> list[ModeratorEvent]:
    """What moderators did to it, oldest first. Queries: 1."""
    return list(variant.moderator_events.select_related("into").order_by("pk"))


def last_event(variant: Variant) -> ModeratorEvent | None:
    return variant.moderator_events.order_by("-pk").first()


def successors(variant: Variant) -> list[Variant]:
    """The parts that took the place of a split variant; none of any other. Queries: 2 at most."""
    event = last_event(variant)
    if event is None or event.kind != ModeratorEventKind.SPLIT:
        return []
    return list(variant.parts.filter(sent_at=event.at).order_by("public_id"))
