"""Report what was seen, where and how many."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import Min

from registry.errors import AlreadyClosed, IdentityMoved, InvalidField, NotFound
from registry.models import (
    Condition,
    CountKind,
    CountLine,
    Example,
    JournalEntry,
    Member,
    Pack,
    PackVersion,
    PickedOver,
    Release,
    Scope,
    Sighting,
    Trait,
    Variant,
)

from . import wording
from .admission import active
from .journalled import journalled
from .quotas import admit

MOST_LINES = 60
MOST_COUNTED = 100_000


@journalled
def report_sighting(
    *,
    by: Member,
    at: datetime,
    release: Release,
    scope: str,
    seen_on: date,
    count_lines: Sequence[dict[str, Any]],
    is_full_count: bool = False,
    picked_over: str = PickedOver.UNKNOWN,
    cases_compared: int | None = None,
    pack: Pack | None = None,
    pack_version: PackVersion | None = None,
    example: Example | None = None,
    country: str = "",
    region: str = "",
    source: str = "",
    note: str = "",
    traits_seen: Sequence[Trait] = (),
) -> Sighting:
    """Note a find, or a full count of all that was there.

    `count_lines`: {kind, variants, condition, n} each; kind `variant` names one variant, `one_of_these` several
    candidates, `none_known` none. Errors: InvalidField, InTheFuture.
    """
    member = admit(by, "sightings", at)
    release = release.survivor
    where = wording.coarse_place(country, region)
    sighting = Sighting(
        by=member,
        release=release,
        scope=wording.choice("scope", scope, Scope),
        is_full_count=is_full_count,
        picked_over=wording.choice("picked_over", picked_over, PickedOver),
        cases_compared=cases_compared,
        pack=pack,
        pack_version=pack_version,
        example=example,
        seen_on=day_seen(seen_on, at),
        country=where[0],
        region=where[1],
        source=wording.line("source", source, 200, required=False),
        note=wording.line("note", note, 300, required=False),
        added_at=at,
    )
    check_sighting(sighting)
    lines = [
        checked_line(f"count_lines[{n}]", said, sighting) for n, said in enumerate(checked_list(count_lines))
    ]
    sighting.save()
    sighting.traits_seen.set(adopted_traits(release, traits_seen))
    for line, variants in lines:
        line.sighting = sighting
        line.save()
        line.variants.set(variants)
    note_first_sighting(
        variant for line, variants in lines if line.kind == CountKind.VARIANT for variant in variants
    )
    JournalEntry.objects.record(
        by=member,
        verb="sighting.reported",
        about=sighting,
        at=at,
        detail={"release": release.public_id, "scope": sighting.scope, "full_count": is_full_count},
    )
    return sighting


def day_seen(seen_on: date | None, at: datetime) -> date:
    day = wording.past_day("seen_on", seen_on, at)
    if day is None:
        raise InvalidField("seen_on", None, "Say on which day it was seen.")
    return day


def check_sighting(sighting: Sighting) -> None:
    if sighting.cases_compared is not None:
        wording.whole("cases_compared", sighting.cases_compared, 1, 10_000)
        if not sighting.is_full_count:
            raise InvalidField("cases_compared", sighting.cases_compared, "Only a full count compares cases.")
    if sighting.example:
        if sighting.scope not in (Scope.ITEM, Scope.SEALED_PACK):
            raise InvalidField("scope", sighting.scope, "An example is one item or one sealed pack.")
        if sighting.example.release_id != sighting.release_id:
            raise InvalidField(
                "example", sighting.example.public_id, f"Name an example of {sighting.release}."
            )
    if sighting.pack_version and sighting.pack and sighting.pack_version.pack_id != sighting.pack_id:
        raise InvalidField(
            "pack_version", sighting.pack_version.name, f"Choose a version of {sighting.pack}."
        )


def checked_list(count_lines: object) -> Sequence[dict[str, Any]]:
    if not isinstance(count_lines, (list, tuple)) or not count_lines:
        raise InvalidField("count_lines", count_lines, "Say what was seen, in at least one line.")
    if len(count_lines) > MOST_LINES:
        raise InvalidField("count_lines", len(count_lines), f"Send at most {MOST_LINES} lines.")
    return count_lines


def checked_line(where: str, said: object, sighting: Sighting) -> tuple[CountLine, list[Variant]]:
    if not isinstance(said, dict):
        raise InvalidField(where, said, "Send an object with kind, variants, condition and n.")
    kind = wording.choice(f"{where}.kind", said.get("kind", CountKind.VARIANT), CountKind)
    variants = list(dict.fromkeys(said.get("variants") or ()))
    needed = {CountKind.VARIANT: (1, 1), CountKind.ONE_OF_THESE: (2, 50), CountKind.NONE_KNOWN: (0, 0)}[kind]
    if not needed[0] <= len(variants) <= needed[1]:
        words = {
            CountKind.VARIANT: "Name one variant.",
            CountKind.ONE_OF_THESE: "Name the two or more variants it may be.",
            CountKind.NONE_KNOWN: "Name no variant.",
        }
        raise InvalidField(f"{where}.variants", [v.public_id for v in variants], words[kind])
    for variant in variants:
        if variant.is_gone:
            gone = f"{variant.title!r} was merged, split or struck. Name another."
            raise IdentityMoved(gone, field=f"{where}.variants")
        if sighting.scope in (Scope.ITEM, Scope.PEG) and variant.release_id != sighting.release_id:
            raise InvalidField(
                f"{where}.variants", variant.public_id, f"Choose a variant of {sighting.release}."
            )
    condition = said.get("condition") or ""
    if condition:
        condition = wording.choice(f"{where}.condition", condition, Condition)
    n = wording.whole(f"{where}.n", said.get("n", 1), 1, MOST_COUNTED)
    return CountLine(kind=kind, condition=condition, n=n), variants


def adopted_traits(release: Release, traits: Sequence[Trait]) -> list[Trait]:
    adopted = set(release.adoptions.values_list("trait", flat=True))
    for trait in traits:
        if trait.pk not in adopted:
            raise InvalidField("traits_seen", trait.name, f"{release} has not adopted this trait.")
    return list(traits)


def note_first_sighting(variants: Any) -> None:
    """Keep each variant's earliest dated sighting, which sorts the release page."""
    for variant in variants:
        lines = CountLine.objects.filter(
            variants=variant, kind=CountKind.VARIANT, sighting__withdrawn_at=None
        )
        first = lines.aggregate(first=Min("sighting__seen_on"))["first"]
        if first and (variant.noticed_on is None or first < variant.noticed_on):
            Variant.objects.filter(pk=variant.pk).update(noticed_on=first)


def forget_first_sighting(sighting: Sighting) -> None:
    """Where a sighting taken back had been the earliest of a variant, find the earliest of what is left.

    That is another sighting, or the month in which an example was found that a photo of a report on it shows.
    """
    told = Variant.objects.filter(count_lines__sighting=sighting, noticed_on=sighting.seen_on)
    for variant in told.distinct():
        lines = CountLine.objects.filter(
            variants=variant, kind=CountKind.VARIANT, sighting__withdrawn_at=None
        )
        shown = Example.objects.filter(photo_examples__photo__submission__variant=variant)
        days = [
            lines.aggregate(first=Min("sighting__seen_on"))["first"],
            shown.aggregate(first=Min("found_month"))["first"],
        ]
        variant.noticed_on = min((day for day in days if day), default=None)
        variant.save(update_fields=["noticed_on"])


@journalled
def withdraw_sighting(*, sighting: Sighting, by: Member, at: datetime) -> Sighting:
    """Take an own sighting back. The row stays, and no longer counts."""
    active(by)
    kept = Sighting.objects.select_for_update().get(pk=sighting.pk)
    if kept.by_id != by.pk:
        raise NotFound
    if kept.withdrawn_at:
        raise AlreadyClosed("This sighting has already been taken back.")
    kept.withdrawn_at = at
    kept.save(update_fields=["withdrawn_at"])
    forget_first_sighting(kept)
    JournalEntry.objects.record(by=by, verb="sighting.withdrawn", about=kept, at=at)
    return kept
