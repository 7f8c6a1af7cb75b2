"""One thing that happens in the scenario, and the moments of its day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

Moment = Callable[[], datetime]
"""Answers the next moment of the day that is being played; each is later than all before."""


@dataclass(frozen=True)
class Event:
    """Something that happens on a day; `what` names it where it fails."""

    day: date
    what: str
    play: Callable[[Moment], object]
