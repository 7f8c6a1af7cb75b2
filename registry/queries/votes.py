"""Votes added up for people to read. What they weigh is decided in registry.methods.standing alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from registry.models import Vote


def tallies(claims: Iterable[Any]) -> dict[int, dict[str, int]]:
    """How many counted votes each claim has of each verdict, by the claim's key. Queries: 1.

    A vote on a claim that was merged counts on the survivor, unless its voter voted there later.
    """
    cast: dict[int, list[Vote]] = {}
    for vote in Vote.objects.current().on(claims).filter(counts=True).order_by("pk"):
        cast.setdefault(vote.counted_on, []).append(vote)
    return {claim: tally_of(votes) for claim, votes in cast.items()}


def tally_of(votes: Iterable[Vote]) -> dict[str, int]:
    """How many of each verdict; of one voter's the latest. Takes them oldest first. Queries: none."""
    return dict(Counter({vote.by_id: vote.verdict for vote in votes}.values()))
