"""Against flooding, brigades, grudges and lone moderators: the numbers in one place, and what follows from them.

Plain values in, plain answers out. All numbers are starting values, chosen here: no published source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

Account = Literal["new", "known", "reviewer", "moderator"]
Kind = Literal["drafts", "submissions", "photos", "remarks", "measurements", "sightings", "disputes"]

QUOTAS: dict[Kind, dict[Account, int | None]] = {
    "drafts": {"new": 10, "known": 40, "reviewer": 100, "moderator": None},
    "submissions": {"new": 3, "known": 20, "reviewer": 60, "moderator": None},
    "photos": {"new": 10, "known": 100, "reviewer": 300, "moderator": None},
    "remarks": {"new": 10, "known": 60, "reviewer": 200, "moderator": None},
    "measurements": {"new": 20, "known": 200, "reviewer": 500, "moderator": None},
    "sightings": {"new": 10, "known": 60, "reviewer": 200, "moderator": None},
    "disputes": {"new": 3, "known": 10, "reviewer": 30, "moderator": None},
}
"""How many of each an account may send in any 24 hours; None: as many as they like."""
QUOTA_WINDOW = timedelta(days=1)

SURGE_VOTES = 30
SURGE_WINDOW = timedelta(minutes=10)
SURGE_LOCK = timedelta(hours=48)
"""So many votes on one claim within the window are a surge; it is then watched for the time of the lock."""

GRUDGE_DISPUTES = 3
GRUDGE_WINDOW = timedelta(days=30)
"""So many disputes of one person's records may one person open within the window; the next one is held."""

ADDRESS_KEPT = timedelta(days=30)
DEED_WAITS = timedelta(days=14)
MODERATOR_REMEMBERED = timedelta(days=30)

CONTROL_EVERY = 20
CONTROL_SETTLED_FOR = timedelta(days=30)
"""One question of so many on the review desk has an answer that was settled at least so long ago."""


@dataclass(frozen=True, slots=True)
class Surge:
    """When the rush on a claim began."""

    began_at: datetime


def standing_of(roles: frozenset[str], has_confirmed_claim: bool) -> Account:
    """What an account may be trusted with. It is new until others have confirmed something that it reported."""
    if "moderator" in roles:
        return "moderator"
    if "reviewer" in roles:
        return "reviewer"
    return "known" if has_confirmed_claim else "new"


def quota(kind: Kind, account: Account, factor: int = 1) -> int | None:
    """How many of this kind the account may send in 24 hours; None: no limit."""
    most = QUOTAS[kind][account]
    return None if most is None else most * factor


def free_again_at(sent: Sequence[datetime], most: int) -> datetime | None:
    """When one more may be sent: None means now. `sent`: times within the last 24 hours, newest first."""
    return sent[most - 1] + QUOTA_WINDOW if len(sent) >= most else None


def surge(times: Sequence[datetime], at: datetime) -> Surge | None:
    """The rush that these times of votes on one claim amount to at a moment, if they do."""
    recent = [time for time in times if at - SURGE_WINDOW < time <= at]
    return Surge(min(recent)) if len(recent) >= SURGE_VOTES else None


def is_outside_surge(joined_at: datetime, began_at: datetime) -> bool:
    """The account was there before the rush, so its vote on that claim counts as it always would."""
    return joined_at < began_at


def is_grudge(disputes_before: int) -> bool:
    """One more dispute of the same person's records has to wait for a moderator."""
    return disputes_before >= GRUDGE_DISPUTES


def is_control_turn(answers_given: int, offset: int) -> bool:
    """The next question on a member's desk is one with a known answer. `offset`: the member's own, 0 to 19."""
    return answers_given % CONTROL_EVERY == offset % CONTROL_EVERY


def needs_second(moderators: int) -> bool:
    """A deed for two waits for a second moderator; where there is only one, nobody could ever confirm it.

    Who moderated within MODERATOR_REMEMBERED is counted too, so that nobody acts alone by sending the others away.
    """
    return moderators >= 2
