"""What was measured on photographs, and which states of known size it fits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, QuerySet

from registry.methods.measure import fits, full_size_um
from registry.models import Measurement, Photo, State

LENGTH = "um"
MOST = 100


@dataclass(frozen=True)
class Compared:
    """A state of known size beside a measurement."""

    state: State
    fits: bool


def told(rows: QuerySet[Measurement]) -> QuerySet[Measurement]:
    """With all that is told of each. Queries: at most 3, whatever the number of rows."""
    sized = State.objects.current().filter(number__isnull=False, unit=LENGTH).order_by("number", "pk")
    related = (
        "photo",
        "example__release__line",
        "claim__state__merged_into",
        "claim__variant",
        "trait__merged_into",
        "by",
    )
    kept = [
        Prefetch(f"{path}states", queryset=sized, to_attr="sized")
        for path in ("trait__", "trait__merged_into__")
    ]
    return rows.select_related(*related).prefetch_related(*kept)


def compared(it: Measurement) -> list[Compared]:
    """The states of its trait that have a length, smallest first. For rows of `told`."""
    trait = it.trait.survivor if it.trait else None
    return [
        Compared(state, fits(it.length_um, it.error_um, state.number or 0, state.number_tolerance or 0))
        for state in getattr(trait, "sized", ())
    ]


def full_size(it: Measurement) -> int:
    """Micrometres on the full-size vehicle, at the line's scale."""
    return full_size_um(it.length_um, it.example.release.line.scale)


@dataclass(frozen=True)
class Shown:
    """A measurement as pages show it."""

    row: Measurement
    full_size_um: int
    fitting: list[State]
    others: list[State]


def shown(rows: QuerySet[Measurement]) -> list[Shown]:
    """Queries: at most 3."""
    found = []
    for row in told(rows).order_by("pk")[:MOST]:
        beside = compared(row)
        fitting = [one.state for one in beside if one.fits]
        found.append(Shown(row, full_size(row), fitting, [one.state for one in beside if not one.fits]))
    return found


def measured_on(photo: Photo) -> list[Shown]:
    """Oldest first. Queries: at most 3."""
    return shown(Measurement.objects.standing().filter(photo=photo))


def measured_for(claims: Iterable[Any]) -> dict[int, list[Shown]]:
    """By the key of the claim. Queries: at most 3."""
    found: dict[int, list[Shown]] = defaultdict(list)
    for it in shown(Measurement.objects.standing().on(claims)):
        found[it.row.shown_claim].append(it)
    return found
