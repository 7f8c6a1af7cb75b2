"""What the votes teach as of now: a fit with its rates, confusions and agreement, as plain rows. Nothing is kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass

import numpy as np
from django.db.models import Q
from numpy.typing import NDArray

from registry.methods.agreement import Table, agreement, hard_to_judge, most_confused
from registry.methods.canon import canonical
from registry.methods.consensus import KINDS, Fit, Start, fit
from registry.models import Member
from registry.models.fits import MILLION

from .ballots import Gathered, gather_ballots
from .facts import current_policy
from .fits import StoredReliabilities

RESAMPLES = 500
LEAST_UNITS = 5  # on fewer claims an interval says too little to call a trait hard to judge; our own choice
_ALL_KINDS = -1


@dataclass(frozen=True)
class LearntRate:
    """A row of models.FitRate; `member` and `public_id` are None for everybody."""

    member: int | None
    public_id: str | None
    kind: str
    in_hand: bool
    sensitivity: int
    specificity: int
    votes: int


@dataclass(frozen=True)
class LearntConfusion:
    """A row of models.Confusion."""

    trait: int
    claimed: int
    seen: int
    count: int
    expected: int


@dataclass(frozen=True)
class LearntAgreement:
    """A row of models.TraitAgreement; in `confused` states are keys, 0 for one that was not named."""

    trait: int
    alpha: int | None
    low: int | None
    high: int | None
    units: int
    votes: int
    is_hard: bool
    confused: list[tuple[int, int, int]]


@dataclass(frozen=True)
class Learnt:
    gathered: Gathered
    fit: Fit
    rates: list[LearntRate]
    digest: str

    @property
    def settings(self) -> dict[str, float]:
        return {name: value for name, value in asdict(self.fit.start).items()}

    def reliabilities(self) -> StoredReliabilities:
        """As they would be read back, were this fit kept and adopted."""
        rows = ((r.public_id, r.kind, r.in_hand, r.sensitivity, r.specificity) for r in self.rates)
        return StoredReliabilities(rows, self.settings)

    def confusions(self) -> Iterator[LearntConfusion]:
        """Per claimed and seen state, over the votes whose state is known."""
        votes, held = self.gathered, self.gathered.claim
        named = votes.seen > 0
        pairs = np.stack([votes.states[held[named]], votes.seen[named]])
        found, first, place = np.unique(pairs, axis=1, return_index=True, return_inverse=True)
        place = place.reshape(-1)
        count = np.bincount(place, minlength=first.size)
        expected = np.bincount(place, weights=self.fit.posterior[held[named]], minlength=first.size)
        traits = votes.traits[held[named][first]]
        for row in range(first.size):
            yield LearntConfusion(
                trait=int(traits[row]),
                claimed=int(found[0, row]),
                seen=int(found[1, row]),
                count=int(count[row]),
                expected=round(float(expected[row]) * MILLION),
            )

    def agreements(self, seed: int) -> Iterator[LearntAgreement]:
        """Per trait on which some claim has two votes; a claim is a unit, the state that a voter saw the value."""
        votes = self.gathered
        trait = votes.traits[votes.claim]
        order = np.argsort(trait, kind="stable")
        starts = np.flatnonzero(np.r_[True, np.diff(trait[order]) > 0]) if order.size else order
        for rows in np.split(order, starts[1:]):
            table = Table.of(votes.claim[rows], votes.reviewer[rows], votes.seen[rows])
            if len(table.counts):
                yield _agreement(int(trait[rows[0]]), table, seed)


def learn() -> Learnt:
    """A fit of all votes that standing hears, and of answers to controls, starting from the policy's numbers."""
    gathered = gather_ballots()
    found = fit(gathered.ballots, Start.from_policy(current_policy()))
    rates = [*_of_everybody(found), *_of_reviewers(found, gathered.reviewers)]
    return Learnt(gathered, found, rates, _digest(rates))


def _of_everybody(found: Fit) -> Iterator[LearntRate]:
    for kind in range(_ALL_KINDS, len(KINDS)):
        for basis in (0, 1):
            rates = millionths(*found.population[kind, basis])
            yield LearntRate(None, None, _name(kind), bool(basis), *rates, votes=0)


def _of_reviewers(found: Fit, reviewers: NDArray[np.int64]) -> Iterator[LearntRate]:
    heard = Q(votes__isnull=False) | Q(control_answers__isnull=False)
    public_ids = dict(Member.objects.filter(heard).distinct().values_list("pk", "public_id"))
    cells = found.cells
    columns = (
        cells.reviewer,
        cells.kind,
        cells.in_hand,
        cells.sensitivity,
        cells.specificity,
        cells.weight_seen,
    )
    for who, kind, in_hand, sensitivity, specificity, seen in zip(
        *(c.tolist() for c in columns), strict=True
    ):
        member = int(reviewers[who])
        rates = millionths(sensitivity, specificity)
        yield LearntRate(member, public_ids[member], _name(kind), in_hand, *rates, votes=round(seen))


def millionths(sensitivity: float, specificity: float) -> tuple[int, int]:
    """Both rates rounded, strictly inside 0 to 1, and still adding up to 1 or more: nobody's word turns round."""
    first, second = (
        min(max(round(float(rate) * MILLION), 1), MILLION - 1) for rate in (sensitivity, specificity)
    )
    return first, max(second, MILLION - first)


def _name(kind: int) -> str:
    return "" if kind == _ALL_KINDS else KINDS[kind]


def _digest(rates: list[LearntRate]) -> str:
    """SHA-256 over one canonical line per rate, in order of reviewer, kind and basis; everybody's come first."""
    digest = hashlib.sha256()
    for rate in sorted(rates, key=lambda rate: (rate.public_id or "", rate.kind, rate.in_hand)):
        line = {
            "reviewer": rate.public_id or "",
            "kind": rate.kind,
            "in_hand": rate.in_hand,
            "sensitivity": rate.sensitivity,
            "specificity": rate.specificity,
            "votes": rate.votes,
        }
        digest.update(canonical(line) + b"\n")
    return digest.hexdigest()


def _agreement(trait: int, table: Table, seed: int) -> LearntAgreement:
    found = agreement(table, resamples=RESAMPLES, random=np.random.default_rng([seed, trait]))
    alpha, low, high = (
        None if np.isnan(value) else round(value * MILLION) for value in (found.alpha, found.low, found.high)
    )
    return LearntAgreement(
        trait=trait,
        alpha=alpha,
        low=low,
        high=high,
        units=found.units,
        votes=found.values,
        is_hard=found.units >= LEAST_UNITS and hard_to_judge(found, by="high"),
        confused=[(int(a), int(b), round(pairs * 100)) for a, b, pairs in most_confused(table)],  # type: ignore[call-overload]
    )
