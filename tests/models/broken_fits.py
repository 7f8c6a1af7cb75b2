"""Rows of a fit, for constraints to refuse the second of, or one that is out of range."""

from __future__ import annotations

from typing import Any

from registry import models as m
from tests import factories as f
from tests.factories import NOON


def fit(number: int = 1, **fields: Any) -> m.Fit:
    said = {"policy": m.Policy.objects.get(version=1), "made_at": NOON, "cut": 1, "claims": 1, "votes": 1,
            "reviewers": 1, "known": 0, "prior": 500_000, "rounds": 1, "objective": -1.0, "converged": True,
            "settings": {}, "digest": "0" * 64}  # fmt: skip
    made = m.Fit(number=number, **{**said, **fields})
    made.save()
    return made


def one_fit() -> m.Fit:
    return m.Fit.objects.first() or fit()


def fit_rate(**fields: Any) -> None:
    said = {"kind": "print", "in_hand": True, "sensitivity": 850_000, "specificity": 850_000, "votes": 1}
    m.FitRate(fit=one_fit(), **{**said, **fields}).save()


def confused() -> None:
    state = m.State.objects.filter(key="odd").first() or f.StateFactory(key="odd")
    m.Confusion(fit=one_fit(), trait=state.trait, claimed=state, seen=state, count=1, expected=1).save()


def agreed() -> None:
    trait = m.Trait.objects.filter(key="odd").first() or f.TraitFactory(key="odd")
    m.TraitAgreement(fit=one_fit(), trait=trait, units=1, votes=2, is_hard=False).save()
