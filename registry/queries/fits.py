"""Reliabilities as stored: the rates by which standing weighs votes, and what pages may say of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from django.db.models import Q, QuerySet

from registry.methods.facts import ReleaseFacts
from registry.methods.policy import EQUAL, Policy, Rates, Reliabilities
from registry.models import FitAdoption, FitRate, Member
from registry.models.fits import MILLION

RATE = ("member__public_id", "kind", "in_hand", "sensitivity", "specificity")
RateRow = tuple[str | None, str, bool, int, int]
"""Public id of the reviewer (None: everybody), kind of trait, in hand, sensitivity and specificity in millionths."""


class StoredReliabilities:
    """Rates of one fit, for the reviewers whose rows were given; everybody's rows are always among them.

    A reviewer without a row for the kind has what `consensus.Fit.rates` gives: a mean of their overall on the basis
    (everybody's, where they never voted on it) and everybody's rates for the kind, weighted as the learning leant.
    A kind that is not known has the overall alone.
    """

    def __init__(self, rows: Iterable[RateRow], settings: Mapping[str, float]) -> None:
        self._rates = {(who, kind, in_hand): (sens, spec) for who, kind, in_hand, sens, spec in rows}
        self._own, self._shared = settings["cell_to_reviewer"], settings["cell_to_kind"]

    def rates(self, reviewer: str, kind: str, in_hand: bool, policy: Policy) -> Rates:
        found = kind and self._rates.get((reviewer, kind, in_hand))
        if found:
            return Rates(found[0] / MILLION, found[1] / MILLION)
        everybody = self._rates.get((None, "", in_hand))
        overall = self._rates.get((reviewer, "", in_hand)) or everybody
        if overall is None:
            return EQUAL.rates(reviewer, kind, in_hand, policy)
        of_kind = self._rates.get((None, kind, in_hand)) or overall
        weight = (self._own + self._shared) * MILLION
        if not weight:
            return Rates(overall[0] / MILLION, overall[1] / MILLION)
        sensitivity, specificity = (
            (self._own * mine + self._shared * all_) / weight
            for mine, all_ in zip(overall, of_kind, strict=True)
        )
        return Rates(sensitivity, specificity)


def current_fit_number() -> int:
    """The fit in force; 0 where none was adopted yet."""
    return FitAdoption.objects.order_by("pk").values_list("fit__number", flat=True).last() or 0


def reliabilities_of(facts: ReleaseFacts) -> Reliabilities:
    """How far the votes of a release are trusted under the fit that its facts name. Queries: 1, or 0 without a fit."""
    if not facts.fit:
        return EQUAL
    return read(rates_of({vote.by for vote in facts.votes}).filter(fit__number=facts.fit))[1]


def reliabilities_for(member: Member) -> Reliabilities:
    """How far this member's votes are trusted under the fit in force. Queries: 1."""
    return reliabilities_in_force({member.public_id})[1]


def reliabilities_in_force(reviewers: Collection[str]) -> tuple[int, Reliabilities]:
    """The number of the fit in force, 0 for none, and how far it trusts these reviewers' votes. Queries: 1."""
    in_force = FitAdoption.objects.order_by("-pk").values("fit")[:1]
    return read(rates_of(reviewers).filter(fit=in_force))


def read(rates: QuerySet[FitRate]) -> tuple[int, Reliabilities]:
    """Of one fit, which everybody's rows tell even where none of the reviewers has any."""
    rows = list(rates.values_list(*RATE, "fit__number", "fit__settings"))
    return (rows[0][-2], StoredReliabilities([row[:-2] for row in rows], rows[0][-1])) if rows else (0, EQUAL)


def rates_of(reviewers: Collection[str]) -> QuerySet[FitRate]:
    """Theirs and everybody's."""
    return FitRate.objects.filter(Q(member=None) | Q(member__public_id__in=reviewers))
