"""Votes added up for people to read. What they weigh is decided in registry.methods.standing alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from registry.models import Vote


def tallies(claims: Iterable[Any]) -> dict[int, dict[str, int]]:
    """How many counted votes each claim has of each verdict, by the claim's key. Queries: 1.

    A vote on a claim that was merged counts on the survivor, unless its voter voted there later.
    """
    latest: dict[tuple[int, int], str] = {}
    for vote in Vote.objects.current().on(claims).filter(counts=True).order_by("pk"):
        latest[vote.counted_on, vote.by_id] = vote.verdict
    found: dict[int, dict[str, int]] = {}
    for (claim, _), verdict in latest.items():
        tally = found.setdefault(claim, {})
        tally[verdict] = tally.get(verdict, 0) + 1
    return found
