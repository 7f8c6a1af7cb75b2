"""How far votes are trusted, for reading: the fit in force, everybody's rates, one's own, what is hard to judge.

What one reviewer's rates are is told to that reviewer alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.utils.text import capfirst

from registry.models import FitAdoption, FitRate, Member, State, Trait, TraitAgreement, TraitKind
from registry.models.fits import MILLION
from registry.sentences import Sentence

MOST_SHOWN = 50
_KIND_WORDS = {
    "": Sentence("All kinds of detail"),
    **{kind: capfirst(label) for kind, label in TraitKind.choices},
}


@dataclass(frozen=True)
class RateInWords:
    """Of a hundred: details that are so and were confirmed, details that are not so and were contradicted."""

    kind: str
    in_hand: bool
    confirmed: int
    contradicted: int
    votes: int


@dataclass(frozen=True)
class AgreementInWords:
    """`confused`: pairs of states by name, most often taken for one another first."""

    found: TraitAgreement
    confused: list[tuple[str, str]]

    @property
    def percent(self) -> int | None:
        """Agreement beyond chance, 100 where all agree."""
        return None if self.found.alpha is None else round(100 * self.found.alpha / MILLION)


@dataclass(frozen=True)
class Trust:
    adoption: FitAdoption | None
    everybody: list[RateInWords] = field(default_factory=list)
    own: list[RateInWords] = field(default_factory=list)
    hard: list[AgreementInWords] = field(default_factory=list)


def trust(member: Member | None) -> Trust:
    """What the page says to this reader. Queries: 5 at most, 1 before the first adoption."""
    adoption = FitAdoption.objects.select_related("fit__policy").order_by("pk").last()
    if adoption is None:
        return Trust(None)
    rates = FitRate.objects.filter(fit=adoption.fit)
    hard = TraitAgreement.objects.filter(fit=adoption.fit, is_hard=True)
    hard = hard.select_related("trait__line", "trait__casting").order_by("high", "pk")
    return Trust(
        adoption=adoption,
        everybody=in_words(rates.filter(member=None, kind="")),
        own=in_words(rates.filter(member=member)) if member else [],
        hard=with_names(hard[:MOST_SHOWN]),
    )


def agreement_on(trait: Trait) -> AgreementInWords | None:
    """How far reviewers agree on the trait, by the fit in force. Queries: 2."""
    found = with_names(TraitAgreement.objects.in_force().filter(trait=trait))
    return found[0] if found else None


def in_words(rates: Iterable[FitRate]) -> list[RateInWords]:
    """All kinds together first, in hand before by photo."""
    ordered = sorted(rates, key=lambda rate: (rate.kind, not rate.in_hand))
    return [
        RateInWords(
            kind=str(_KIND_WORDS[rate.kind]),
            in_hand=rate.in_hand,
            confirmed=round(100 * rate.sensitivity / MILLION),
            contradicted=round(100 * rate.specificity / MILLION),
            votes=rate.votes,
        )
        for rate in ordered
    ]


def with_names(rows: Iterable[TraitAgreement]) -> list[AgreementInWords]:
    found = list(rows)
    keys = {key for row in found for one, other, _ in row.confused for key in (one, other) if key}
    names = dict(State.objects.filter(public_id__in=keys).values_list("public_id", "name")) if found else {}
    return [
        AgreementInWords(row, [(_named(one, names), _named(other, names)) for one, other, _ in row.confused])
        for row in found
    ]


def _named(state: str | None, names: dict[str, str]) -> str:
    return names[state] if state else Sentence("something else")
