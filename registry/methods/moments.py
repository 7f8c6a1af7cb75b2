"""A point in a record's history, as people write it: a revision's number, a day, or a moment."""

import re
from datetime import UTC, date, datetime, time

from registry.sentences import Sentence

LARGEST_REVISION = 999_999
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
REMEDY = Sentence("Write a revision's number, a day as 2026-05-31, or a moment as 2026-05-31T12:00:00Z.")
DAYS = (
    Sentence("%(day)s Jan %(year)s"),
    Sentence("%(day)s Feb %(year)s"),
    Sentence("%(day)s Mar %(year)s"),
    Sentence("%(day)s Apr %(year)s"),
    Sentence("%(day)s May %(year)s"),
    Sentence("%(day)s Jun %(year)s"),
    Sentence("%(day)s Jul %(year)s"),
    Sentence("%(day)s Aug %(year)s"),
    Sentence("%(day)s Sep %(year)s"),
    Sentence("%(day)s Oct %(year)s"),
    Sentence("%(day)s Nov %(year)s"),
    Sentence("%(day)s Dec %(year)s"),
)


def in_words(day: date) -> Sentence:
    """A day as part of a sentence.

    >>> in_words(date(2026, 5, 3))
    '3 May 2026'
    """
    return Sentence(DAYS[day.month - 1].one, day=str(day.day), year=str(day.year))


def parse_point(text: str) -> int | datetime:
    """A revision's number, or a moment in UTC; a day means its end, as that is how the day left things.

    Source: dates and times as in RFC 3339 (a profile of ISO 8601), with an offset or Z.
    Errors: ValueError saying what would be right.

    >>> parse_point("3")
    3
    >>> parse_point("2026-05-31").isoformat()
    '2026-05-31T23:59:59.999999+00:00'
    """
    text = text.strip()
    if text.isascii() and text.isdigit():
        if not 1 <= int(text[:9]) <= LARGEST_REVISION:
            raise ValueError(
                Sentence("There is no revision %(number)s. %(remedy)s", number=text[:12], remedy=REMEDY)
            )
        return int(text)
    return parse_moment(text)


def parse_moment(text: str) -> datetime:
    """A day's end or a moment, in UTC. Errors: ValueError where the text is no day and no moment with an offset."""
    try:
        if _DAY.fullmatch(text):
            return datetime.combine(date.fromisoformat(text), time.max, UTC)
        moment = datetime.fromisoformat(text) if "T" in text else None
        if moment is not None and moment.tzinfo is not None:
            return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise ValueError(
        Sentence("“%(text)s” is no day and no moment. %(remedy)s", text=text[:40], remedy=REMEDY)
    )
