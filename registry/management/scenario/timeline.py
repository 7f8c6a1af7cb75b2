"""Everything that happens before the main path, in order of days, played through the actions."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, time, timedelta

from django.core.exceptions import ObjectDoesNotExist
from django.db import transaction

from registry.errors import RegistryError

from .asides import aside_events
from .event import Event
from .files import ScenarioFault
from .measurements import measurement_events
from .names import Names
from .opening import catalogue_events, people_events
from .opinions import opinion_events
from .reports import report_events
from .sightings import sighting_events

OPENS_AT = time(9, tzinfo=UTC)


def events(names: Names) -> list[Event]:
    """All of history by day; of one day, in the order of the files."""
    told = [
        *people_events(names),
        *catalogue_events(names),
        *report_events(names),
        *opinion_events(names),
        *sighting_events(names),
        *measurement_events(names),
        *aside_events(names),
    ]
    return sorted(told, key=lambda event: event.day)


@transaction.atomic
def play(history: Iterable[Event], played: Callable[[int], None]) -> None:
    """All of it or nothing. `played` hears how many events are done. Errors: ScenarioFault naming the event."""
    last = datetime.min.replace(tzinfo=UTC)
    for done, event in enumerate(history, start=1):

        def moment(day: date = event.day) -> datetime:
            nonlocal last
            last = max(datetime.combine(day, OPENS_AT), last + timedelta(seconds=1))
            return last

        try:
            event.play(moment)
        except (RegistryError, ObjectDoesNotExist, KeyError, StopIteration) as fault:
            words = f"{type(fault).__name__}: {fault}"
            raise ScenarioFault(f"{event.what}, on {event.day}, cannot be played. {words}") from fault
        played(done)
