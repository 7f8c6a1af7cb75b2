"""Where and when a release or a pack could be bought: dated facts, each with its source."""

from __future__ import annotations

from datetime import date, datetime

from registry.errors import InvalidField
from registry.models import (
    Availability,
    AvailabilityKind,
    FeedEventKind,
    JournalEntry,
    Member,
    Pack,
    Release,
    Role,
)
from registry.sentences import Sentence

from . import wording
from .admission import require
from .feed import tell
from .journalled import journalled


@journalled
def add_availability(
    *,
    by: Member,
    at: datetime,
    region: str,
    kind: str,
    on: date,
    source: str,
    release: Release | None = None,
    pack: Pack | None = None,
) -> Availability:
    """A dated, sourced fact of a release or of a pack, exactly one of them. An announcement may lie in the future."""
    require(by, Role.MODERATOR)
    if (release is None) == (pack is None):
        raise InvalidField("release", None, Sentence("Say it of exactly one release or one pack."))
    chosen = wording.choice("kind", kind, AvailabilityKind)
    if chosen is not AvailabilityKind.ANNOUNCED:
        wording.past_day("on", on, at)
    fact = Availability.objects.create(
        release=release,
        pack=pack,
        region=wording.line("region", region, 60),
        kind=chosen,
        on=on,
        source=wording.line("source", source, 200),
        added_by=by,
    )
    JournalEntry.objects.record(
        by=by, verb="availability.added", about=fact, at=at, detail={"kind": chosen.value}
    )
    if chosen is AvailabilityKind.PULLED:
        for each in [release] if release else pack.releases.order_by("pk") if pack else ():
            tell(each, FeedEventKind.PULLED, at)
    return fact
