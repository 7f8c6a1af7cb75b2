"""Report what was seen, where and how many."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import Min, Q

from registry.errors import AlreadyClosed, NotFound, TwinExists
from registry.models import (
    CountKind,
    CountLine,
    Example,
    JournalEntry,
    Member,
    Release,
    Sighting,
    Variant,
)
from registry.sentences import Sentence

from .admission import active
from .journalled import journalled
from .quotas import admit
from .seen import Place, Seen, checked


@journalled
def report_sighting(*, by: Member, at: datetime, release: Release, **said: Any) -> Sighting:
    """Note a find, or a full count of all that was there; `said` as `checked` takes it.

    The same item counts once for each member who reports it, and so does what they give the same `key`.
    Errors: InvalidField, InTheFuture, IdentityMoved; TwinExists where the member has reported the example.
    """
    member = admit(by, "sightings", at)
    release = release.survivor
    seen = checked(Place.of(release), member, at, **said)
    if known := known_by_key(member, [seen]).get(seen.sighting.key):
        return known
    refuse_same_example(member, [seen])
    keep([seen])
    sighting = seen.sighting
    JournalEntry.objects.record(
        by=member,
        verb="sighting.reported",
        about=sighting,
        at=at,
        detail={
            "release": release.public_id,
            "scope": sighting.scope,
            "full_count": sighting.is_full_count,
        },
    )
    return sighting


def keep(sightings: Sequence[Seen]) -> None:
    """Enter all of them. The queries grow with the number of variants named, not with that of sightings."""
    Sighting.objects.bulk_create([seen.sighting for seen in sightings])
    pairs = [pair for seen in sightings for pair in seen.lines]
    for seen in sightings:
        for line, _ in seen.lines:
            line.sighting = seen.sighting
    CountLine.objects.bulk_create([line for line, _ in pairs])
    names = CountLine.variants.through
    names.objects.bulk_create(
        names(countline=line, variant=variant) for line, variants in pairs for variant in variants
    )
    could_see = Sighting.traits_seen.through
    could_see.objects.bulk_create(
        could_see(sighting=seen.sighting, trait=trait) for seen in sightings for trait in seen.traits
    )
    note_first_sightings(sightings)


def known_by_key(by: Member, sightings: Sequence[Seen]) -> dict[str, Sighting]:
    """What the member has reported before under the same keys. Queries: 1, or none where none has a key."""
    keys = [seen.sighting.key for seen in sightings if seen.sighting.key]
    return {known.key: known for known in Sighting.objects.filter(by=by, key__in=keys)} if keys else {}


def refuse_same_example(by: Member, sightings: Sequence[Seen]) -> None:
    """Errors: TwinExists naming the sighting by which the member reported the example before."""
    examples = [seen.sighting.example for seen in sightings if seen.sighting.example]
    if not examples:
        return
    before = Sighting.objects.filter(by=by, example__in=examples, withdrawn_at=None)
    if twin := before.order_by("pk").first():
        raise TwinExists(
            Sentence(
                "You reported this example on %(seen_on)s (%(id)s), and one item counts once. Take "
                "that sighting back first if it was wrong.",
                seen_on=twin.seen_on,
                id=twin.shown_id,
            ),
            field="example",
            sighting=twin.public_id,
        )


def note_first_sightings(sightings: Sequence[Seen]) -> None:
    """Keep each variant's earliest dated sighting, which sorts the release page."""
    first: dict[int, date] = {}
    for seen in sightings:
        for line, variants in seen.lines:
            if line.kind == CountKind.VARIANT:
                day, variant = seen.sighting.seen_on, variants[0].pk
                first[variant] = min(day, first.get(variant, day))
    for variant, day in sorted(first.items()):
        earlier = Q(noticed_on=None) | Q(noticed_on__gt=day)
        Variant.objects.filter(earlier, pk=variant).update(noticed_on=day)


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
        raise AlreadyClosed(Sentence("This sighting has already been taken back."))
    kept.withdrawn_at = at
    kept.save(update_fields=["withdrawn_at"])
    forget_first_sighting(kept)
    JournalEntry.objects.record(by=by, verb="sighting.withdrawn", about=kept, at=at)
    return kept
