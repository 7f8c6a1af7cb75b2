"""The canonical record of a variant: what the API serves, editions publish and digests are taken of.

Left out on purpose: votes, names of people, free text of reviewers. A vote that moves no standing and no banded
count of examples leaves the record, and so its digest, as it is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any

from registry.methods.canon import canonical, leaf_digest
from registry.models import Claim, Mark, Release, Variant, VariantStanding

from .facts import last_events

EXAMPLES_BAND = 3
"""Counts of examples are published as 0, 1, 2 or `3 or more`."""


def records_of(release: Release, variants: Iterable[Variant]) -> dict[int, dict[str, Any]]:
    """Records of all variants of one release by primary key, without their `changed` time.

    Queries: 2, and 1 more where a variant was struck or split.
    """
    chosen = list(variants)
    kin = kinship(release, chosen)
    claims = Claim.objects.open().filter(variant__in=[v for v in chosen if not v.is_gone])
    by_variant: dict[int, list[Claim]] = defaultdict(list)
    for claim in claims.select_related("trait__merged_into", "state__merged_into", "author"):
        by_variant[claim.variant_id].append(claim)
    marks = Mark.objects.standing().on(claims)
    marks_by_claim: dict[int, list[Mark]] = defaultdict(list)
    for mark in marks.select_related("photo__owner").order_by("pk"):
        marks_by_claim[mark.shown_claim].append(mark)
    return {
        v.pk: fate_leaf(release, v, kin[v.pk])
        if v.is_gone
        else record(release, v, by_variant[v.pk], marks_by_claim) | kin[v.pk]
        for v in chosen
    }


def kinship(release: Release, variants: list[Variant]) -> dict[int, dict[str, Any]]:
    """By key: from which variant each was split, what was split out of it, and what became of those that are gone."""
    names = {variant.pk: variant.public_id for variant in variants}
    parts: dict[int, list[Variant]] = defaultdict(list)
    for variant in variants:
        if variant.split_from_id:
            parts[variant.split_from_id].append(variant)
    ended = any(v.standing in (VariantStanding.STRUCK, VariantStanding.SPLIT) for v in variants)
    events = last_events(release) if ended else {}
    kin: dict[int, dict[str, Any]] = {}
    for variant in variants:
        told: dict[str, Any] = {}
        event = events.get(variant.pk)
        if variant.split_from_id in names:
            told["split_from"] = names[variant.split_from_id]
        if variant.merged_into_id:
            told["into"] = names[variant.merged_into_id]
        elif variant.standing == VariantStanding.STRUCK and event:
            told["reason_code"] = event.reason_code
        elif variant.standing == VariantStanding.SPLIT and event:
            told["successors"] = sorted(p.public_id for p in parts[variant.pk] if p.sent_at == event.at)
        elif parts[variant.pk]:
            told["split_out"] = sorted(part.public_id for part in parts[variant.pk])
        kin[variant.pk] = told
    return kin


def fate_leaf(release: Release, variant: Variant, kin: Mapping[str, Any]) -> dict[str, Any]:
    """What an edition says for ever of a variant that was merged, split or struck: no claims, no evidence, no names."""
    return {
        "format": "variant/1",
        "id": variant.public_id,
        "revision": variant.revision_number,
        "standing": variant.standing,
        "release": release.survivor.public_id,
        **kin,
    }


def record(
    release: Release, variant: Variant, claims: list[Claim], marks: Mapping[int, list[Mark]]
) -> dict[str, Any]:
    """The record of a variant from its open claims and their standing marks; `release` with casting and line."""
    document: dict[str, Any] = {
        "format": "variant/1",
        "id": variant.public_id,
        "revision": variant.revision_number,
        "standing": variant.standing,
        "maker": release.casting.maker.public_id,
        "line": release.line.public_id,
        "casting": release.casting.survivor.public_id,
        "release": release.survivor.public_id,
        "names": names_of(release),
        "year": release.year,
        "title": variant.title,
        "claims": {
            claim.trait.survivor.key: claim_entry(claim) for claim in claims if not claim.trait.is_cause
        },
        "evidence": evidence(claims, marks),
        "credit": sorted(credited(claims, marks)),
    }
    if variant.cause:
        document["cause"] = variant.cause
    if variant.is_founding:
        document["founding"] = True
    return document


def names_of(release: Release) -> dict[str, str]:
    """What people call the release and what it belongs to, so that a list can be read without looking ids up."""
    names = {
        "maker": release.casting.maker.name,
        "line": release.line.name,
        "casting": release.casting.survivor.name,
        "release": release.survivor.name,
    }
    return {**names, "number": release.number} if release.number else names


def claim_entry(claim: Claim) -> dict[str, Any]:
    return {
        "id": claim.public_id,
        "state": claim.state.survivor.key,
        "standing": claim.standing,
        "difference": claim.is_difference,
        "examples": min(claim.examples_shown, EXAMPLES_BAND),
        "sealed": claim.has_sealed_proof,
        "since": claim.since_revision,
    }


def evidence(claims: list[Claim], marks: Mapping[int, list[Mark]]) -> dict[str, Any]:
    """Photos that show the claims, each with one region per trait."""
    found: dict[str, Any] = {}
    for claim in claims:
        for mark in marks.get(claim.pk, ()):
            photo = found.setdefault(
                mark.photo.public_id,
                {
                    "sha256": mark.photo.digest,
                    "licence": mark.photo.licence,
                    "by": mark.photo.owner.public_id,
                    "shows": {},
                },
            )
            photo["shows"].setdefault(claim.trait.survivor.key, mark.fragment)
    return found


def credited(claims: list[Claim], marks: Mapping[int, list[Mark]]) -> set[str]:
    """Public ids of those whose claims and photos the record rests on."""
    authors = {claim.author.public_id for claim in claims if claim.author}
    return authors | {mark.photo.owner.public_id for claim in claims for mark in marks.get(claim.pk, ())}


def sealed_record(document: dict[str, Any], changed_at: datetime) -> tuple[str, str]:
    """The canonical text of a record with its time of change, and its digest."""
    stamp = changed_at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    text = canonical({**document, "changed": stamp})
    return text.decode(), leaf_digest(text)
