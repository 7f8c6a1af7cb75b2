"""What states look like, for pages that ask for them by picture."""

from __future__ import annotations

from collections.abc import Collection

from django.db.models import Exists, Min, OuterRef, Q
from django.db.models.functions import Coalesce

from registry.models import Mark, ReleaseState

from .known import Known
from .reading import within


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
