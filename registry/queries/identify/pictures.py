"""What states look like, for pages that ask for them by picture."""

from __future__ import annotations

from collections.abc import Collection

from django.db.models import Exists, Min, OuterRef, Q
from django.db.models.functions import Coalesce

from registry.models import Mark, ReleaseState

from .known import Known
from .reading import within

MOST_CROPS = 60
"""Kept with a pocket sheet: 60 of 6 kB at most are 360 kB."""


def samples(known: Known, traits: Collection[str]) -> dict[str, Mark]:
    """A mark for each state of these details: the chosen sample, else the first standing mark that shows it.

    By public id of the state. Queries: 1, or none where no detail is asked for.
    """
    states = {state for trait in traits for state in known.details[trait].listed}
    if not states:
        return {}
    standing = within(Mark.objects.standing(), "claim__variant__release", known.releases)
    shown = standing.filter(claim__closed_at=None, claim__is_rival=False).annotate(
        shows=Coalesce("claim__state__merged_into__public_id", "claim__state__public_id")
    )
    shown = shown.filter(shows__in=states)
    first = shown.values("shows").annotate(first=Min("pk")).values("first")
    chosen = Exists(within(ReleaseState.objects.filter(sample=OuterRef("pk")), "release", known.releases))
    marks = shown.annotate(is_chosen=chosen).filter(Q(pk__in=first) | Q(is_chosen=True))
    return {mark.shows: mark for mark in marks.select_related("photo").order_by("is_chosen", "-pk")}


def crop_marks(known: Known) -> dict[str, Mark]:
    """Samples for a pocket sheet: by public id of the state, at most `MOST_CROPS` of them. Queries: 1."""
    found = samples(known, [trait.key for trait in known.table.traits])
    shown = [state for detail in known.details.values() for state in detail.listed if state in found]
    return {state: found[state] for state in shown[:MOST_CROPS]}


def crop_mark(release: int, public_id: str) -> Mark | None:
    """A standing mark that shows an open claim of this release on a published photo. Queries: 1."""
    standing = Mark.objects.standing().filter(claim__variant__release=release, claim__closed_at=None)
    mark = standing.filter(public_id=public_id).select_related("photo__submission").first()
    return mark if mark and mark.photo.is_published else None
