"""The votes of late as the lockstep method takes them, and the concerns that moderators look into."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta
from itertools import combinations

from registry.methods import lockstep
from registry.models import AddressHint, Concern, ConcernKind, Vote

LOOKED_BACK = timedelta(days=30)
MOST_AT_ONE_ADDRESS = 50
"""A prefix that more members share than this is a carrier's or a school's, and says nothing."""


def groups_in_step(at: datetime) -> list[lockstep.Group]:
    """Groups of members whose current votes on claims, counted or not, moved in lockstep of late. Queries: 2."""
    votes = Vote.objects.current().filter(claim__isnull=False, at__gt=at - LOOKED_BACK, at__lte=at)
    rows = [(by, claim, when.timestamp()) for by, claim, when in votes.values_list("by", "claim", "at")]
    return lockstep.groups_in_step(rows, members_of_one_address(at))


def members_of_one_address(at: datetime) -> frozenset[frozenset[int]]:
    """Pairs of members seen from one address prefix in the time looked back on. Queries: 1."""
    seen: dict[str, set[int]] = defaultdict(set)
    hints = AddressHint.objects.filter(seen_at__gt=at - LOOKED_BACK)
    for digest, member in hints.values_list("digest", "member"):
        seen[digest].add(member)
    return frozenset(
        frozenset(pair)
        for members in seen.values()
        if len(members) <= MOST_AT_ONE_ADDRESS
        for pair in combinations(sorted(members), 2)
    )


def lockstep_concerns(at: datetime) -> list[Concern]:
    """Those that may have told of the same votes before. Queries: 2."""
    recent = Concern.objects.filter(kind=ConcernKind.LOCKSTEP, opened_at__gt=at - 2 * LOOKED_BACK)
    return list(
        (recent | Concern.objects.open().filter(kind=ConcernKind.LOCKSTEP)).prefetch_related("members")
    )
