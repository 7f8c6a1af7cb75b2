"""Tables, observations and answers as plain values for JSON: what the twin in JavaScript reads and gives.

An observation is one of
  {"trait": t, "seen": state}                       {"trait": t, "none_of_these": true}
  {"trait": t, "not_sure": [states], "weights": []} {"trait": t, "not_visible": true}
  {"trait": t, "value": number, "error": number}    {"trait": t, "likelihoods": {state: number}, "other": number}
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .next_check import Advice
from .observations import Measured, NotSure, NotVisible, Observation, Seen, SeenOther, Weighed
from .ranking import Identification
from .table import Need, Table

_KEYS = {
    "seen": set[str](),
    "none_of_these": set[str](),
    "not_sure": {"weights"},
    "not_visible": set[str](),
    "value": {"error"},
    "likelihoods": {"other"},
}


def observation_of(plain: Mapping[str, Any]) -> Observation:
    """Errors: ValueError where it is none of the six kinds, or has a key besides."""
    kinds = [kind for kind in _KEYS if kind in plain]
    if len(kinds) != 1 or "trait" not in plain or plain.keys() - {"trait", kinds[0]} - _KEYS[kinds[0]]:
        raise ValueError(f"an observation names a trait and one of {', '.join(_KEYS)}; got {dict(plain)}")
    trait, what = str(plain["trait"]), plain[kinds[0]]
    match kinds[0]:
        case "seen":
            return Seen(trait, what)
        case "not_sure":
            return NotSure(trait, tuple(what), tuple(plain.get("weights", ())))
        case "value":
            if "error" not in plain:
                raise ValueError(f"the value on trait {trait} needs an error")
            return Measured(trait, what, plain["error"])
        case "likelihoods":
            return Weighed(trait, what, plain.get("other", 0.0))
    if what is not True:
        raise ValueError(f"{kinds[0]} on trait {trait} can only be true")
    return SeenOther(trait) if kinds[0] == "none_of_these" else NotVisible(trait)


def table_as_plain(table: Table) -> dict[str, Any]:
    """Shapes: `cells` is V rows of T numbers, -1 where a state is not known."""
    return {
        "variants": list(table.variants),
        "traits": [
            {
                "key": trait.key,
                "states": list(trait.states),
                "needs": [need.value for need in Need if need in trait.needs],
                "effort": trait.effort,
                "numbers": list(trait.numbers),
                "tolerances": list(trait.tolerances),
            }
            for trait in table.traits
        ],
        "cells": table.cells.tolist(),
    }


def answer_as_plain(answer: Identification) -> dict[str, Any]:
    """Everything but the posterior of each variant."""
    return {
        "candidates": [
            {
                "variant": candidate.variant,
                "posterior": candidate.posterior,
                "grounds": [
                    {"trait": g.trait, "state": g.state, "bits": g.bits, "speaks": g.speaks}
                    for g in candidate.grounds
                ],
            }
            for candidate in answer.candidates
        ],
        "not_listed": answer.not_listed,
        "fitting": answer.fitting,
        "learnt": list(answer.learnt),
        "checks": [{"trait": check.trait, "bits": check.bits} for check in answer.checks],
        "advice": _advice_as_plain(answer.advice),
    }


def _advice_as_plain(advice: Advice) -> dict[str, Any]:
    return {
        "next": advice.next.trait if advice.next else "",
        "reason": advice.reason,
        "later": advice.later.trait if advice.later else "",
        "missing": [need.value for need in Need if need in advice.missing],
    }
