"""All votes that standing hears, as columns of numbers to learn from: read in one pass, a row at a time."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce
from numpy.typing import NDArray

from registry.methods.consensus import KINDS, Ballots
from registry.methods.facts import IN_HAND
from registry.models import Claim, Dispute, Outcome, Photo, State, Verdict, Vote

from . import controls

Keys = NDArray[np.int64]
_AT_ONCE = 5000


@dataclass(frozen=True)
class Gathered:
    """Votes and what they were cast on, and behind them answers to questions of known answer.

    Shapes: `claims`, `traits` and `states` have one row per claim with a vote (traits and states as merges left
            them), `reviewers` one per voter, `seen` one per vote: the key of the state that the voter saw, 0 where a
            contradicting vote names none. Rows of `ballots` count from 0 in the same order; those of answers follow,
            on claims of their own: what they were about is voted on as it was.
    """

    ballots: Ballots
    claims: Keys
    traits: Keys
    states: Keys
    reviewers: Keys
    seen: Keys
    cut: int  # key of the newest vote there was

    @property
    def claim(self) -> NDArray[np.int32]:
        """The place of the claim that each vote was cast on."""
        return self.ballots.claim[: self.seen.size]

    @property
    def reviewer(self) -> NDArray[np.int32]:
        """The place of each vote's voter."""
        return self.ballots.reviewer[: self.seen.size]

    @property
    def rulings(self) -> int:
        """How many of the claims have an answer that a moderator gave."""
        return 0 if self.ballots.known is None else int((self.ballots.known[: self.claims.size] >= 0).sum())


def gather_ballots() -> Gathered:
    """Current votes that count, on open claims and closed ones; claims whose answer a moderator gave; and what was
    said to controls.

    Queries: 6, however many votes there are. Memory: some 30 bytes a vote.
    """
    cut = Vote.objects.aggregate(last=Max("pk"))["last"] or 0
    rows = heard().filter(pk__lte=cut).values_list("claim", "by", "basis", "verdict", "state_seen")
    claim_keys, voter_keys, seen_keys, in_hand, confirms = (array(kind) for kind in "qqqbb")
    for claim_key, voter, basis, verdict, state in rows.iterator(_AT_ONCE):
        claim_keys.append(claim_key)
        voter_keys.append(voter)
        seen_keys.append(state or 0)
        in_hand.append(basis in IN_HAND)
        confirms.append(verdict == Verdict.CONFIRMS)
    votes = len(claim_keys)
    claims, claim = np.unique(_column(claim_keys), return_inverse=True)
    traits, states, kinds = _what_is_claimed(claims)
    asked: dict[tuple[str, bool], int] = {}  # the place of each question, behind the claims
    asked_about, asked_kinds = array("q"), array("b")
    for answer in controls.answers():
        asked_about.append(asked.setdefault((answer.claim, answer.truth), claims.size + len(asked)))
        asked_kinds.append(KINDS.index(answer.kind))
        voter_keys.append(answer.member)
        in_hand.append(answer.in_hand)
        confirms.append(answer.confirms)
    reviewers, reviewer = np.unique(_column(voter_keys), return_inverse=True)
    yes = _column(confirms, np.bool_)
    truths = np.array([truth for _, truth in asked], np.int8)
    return Gathered(
        ballots=Ballots(
            claims=claims.size + len(asked),
            reviewers=reviewers.size,
            claim=np.concatenate([claim, _column(asked_about)]).astype(np.int32),
            reviewer=reviewer.astype(np.int32),
            kind=np.concatenate([kinds[claim], _column(asked_kinds, np.int8)]),
            in_hand=_column(in_hand, np.bool_),
            confirms=yes,
            known=np.concatenate([_rulings(claims), truths]),
        ),
        claims=claims,
        traits=traits,
        states=states,
        reviewers=reviewers,
        seen=np.where(yes[:votes], states[claim], _survivors(_column(seen_keys))),
        cut=cut,
    )


def heard() -> QuerySet[Vote]:
    """Current votes on claims that standing would hear, but for `cannot_tell` and what links make of them.

    A member who is barred from the claim (see queries.facts.barred_from) is heard only with an own example.
    """
    photos = Photo.objects.filter(owner=OuterRef("by"))
    author = Q(claim__author=F("by")) | Exists(photos.filter(submission=OuterRef("claim__submission")))
    across = Q(claim__predecessor__author=F("by")) | Exists(
        photos.filter(submission=OuterRef("claim__predecessor__submission"))
    )
    rival = Q(claim__rival_in__isnull=False) & (
        across | Exists(photos.filter(dispute=OuterRef("claim__rival_in")))
    )
    votes = Vote.objects.current().filter(counts=True, claim__isnull=False)
    return (
        votes.exclude(verdict=Verdict.CANNOT_TELL)
        .filter(Q(example__owner=F("by")) | ~(author | rival))
        .order_by("pk")
    )


def _what_is_claimed(claims: Keys) -> tuple[Keys, Keys, NDArray[np.int8]]:
    """Trait, state and kind of each claim, as merges left them."""
    traits, states = np.zeros(claims.size, np.int64), np.zeros(claims.size, np.int64)
    kinds = np.zeros(claims.size, np.int8)
    rows = Claim.objects.order_by("pk").values_list(
        "pk",
        Coalesce("trait__merged_into", "trait"),
        Coalesce("state__merged_into", "state"),
        Coalesce("trait__merged_into__kind", "trait__kind"),
    )
    for place, (_, trait, state, kind) in _among(claims, rows.iterator(_AT_ONCE)):
        traits[place], states[place], kinds[place] = trait, state, KINDS.index(kind)
    return traits, states, kinds


def _among(claims: Keys, rows: Iterable[Any]) -> Iterator[tuple[int, Any]]:
    """Rows in order of their key, those of claims without votes passed over, each with its claim's place."""
    place = 0
    for row in rows:
        if place < claims.size and row[0] == claims[place]:
            yield place, row
            place += 1


def _rulings(claims: Keys) -> NDArray[np.int8]:
    """1 for a claim that a moderator upheld and that stands undisputed since, 0 for the rival it was upheld against."""
    known = np.full(claims.size, -1, np.int8)
    again = Dispute.objects.open().filter(claim=OuterRef("claim"))
    upheld = Dispute.objects.filter(
        ~Exists(again), outcome=Outcome.UPHELD, closed_by__isnull=False, claim__closed_at=None
    )
    for claim, rival in upheld.filter(claim__isnull=False).values_list("claim", "rival"):
        for key, answer in ((claim, 1), (rival, 0)):
            place = int(np.searchsorted(claims, key))
            if place < claims.size and claims[place] == key:
                known[place] = answer
    return known


def _survivors(states: Keys) -> Keys:
    """States that were merged, replaced by those that stand for them."""
    merged = dict(State.objects.filter(merged_into__isnull=False).values_list("pk", "merged_into"))
    if not merged:
        return states
    keys, place = np.unique(states, return_inverse=True)
    return np.array([merged.get(key, key) for key in keys.tolist()], np.int64)[place]


def _column(values: array[int], kind: Any = np.int64) -> NDArray[Any]:
    return np.array(values, kind)
