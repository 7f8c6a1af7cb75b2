"""What was measured on photographs, and which states of known size it fits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
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


RELATED = (
    "photo",
    "example__release__line",
    "claim__state__merged_into",
    "claim__variant",
    "trait__merged_into",
    "by",
)


def sized() -> QuerySet[State]:
    """States that have a length, smallest first."""
    return State.objects.current().filter(number__isnull=False, unit=LENGTH).order_by("number", "pk")


def told(rows: QuerySet[Measurement]) -> QuerySet[Measurement]:
    """With all that is told of each. Queries: at most 3, whatever the number of rows."""
    kept = [
        Prefetch(f"{path}states", queryset=sized(), to_attr="sized")
        for path in ("trait__", "trait__merged_into__")
    ]
    return rows.select_related(*RELATED).prefetch_related(*kept)


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


def shown(rows: Iterable[Measurement]) -> list[Shown]:
    """Queries: none for rows of `told`."""
    found = []
    for row in rows:
        beside = compared(row)
        fitting = [one.state for one in beside if one.fits]
        found.append(Shown(row, full_size(row), fitting, [one.state for one in beside if not one.fits]))
    return found


def measured_on(photo: Photo) -> list[Shown]:
    """Oldest first. Queries: at most 2."""
    standing = Measurement.objects.standing().filter(photo=photo)
    rows = list(standing.select_related(*RELATED).order_by("pk")[:MOST])
    known: dict[int, list[State]] = defaultdict(list)
    keys = {row.trait.survivor.pk for row in rows if row.trait}
    for state in sized().filter(trait__in=keys) if keys else ():
        known[state.trait_id].append(state)
    return shown(sized_up(rows, known))


def measured_for(claims: Iterable[Any], known: Mapping[int, Iterable[State]]) -> dict[int, list[Shown]]:
    """By the key of the claim. `known`: states by detail, in order of size. Queries: 1."""
    rows = Measurement.objects.standing().on(claims).select_related(*RELATED).order_by("pk")[:MOST]
    found: dict[int, list[Shown]] = defaultdict(list)
    for row in sized_up(rows, known):
        found[row.shown_claim] += shown([row])
    return found


def sized_up(rows: Iterable[Measurement], known: Mapping[int, Iterable[State]]) -> list[Measurement]:
    """The rows, each with the states of its detail that have a length, as `compared` wants them. Queries: none."""
    read = list(rows)
    for row in read:
        trait: Any = row.trait.survivor if row.trait else None
        if trait:
            trait.sized = [s for s in known.get(trait.pk, ()) if s.number is not None and s.unit == LENGTH]
    return read
