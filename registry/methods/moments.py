"""A point in a record's history, as people write it: a revision's number, a day, or a moment."""

import re
from datetime import UTC, date, datetime, time

LARGEST_REVISION = 999_999
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
REMEDY = "Write a revision's number, a day as 2026-05-31, or a moment as 2026-05-31T12:00:00Z."


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
            raise ValueError(f"There is no revision {text[:12]}. {REMEDY}")
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
    raise ValueError(f"“{text[:40]}” is no day and no moment. {REMEDY}")
