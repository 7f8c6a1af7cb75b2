"""What somebody saw, and how likely they were to see it for each state that a trait may have.

Each observation turns into plain numbers: one per listed state of its trait, and one for "some other state, that
no list holds". Only ratios between them count.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import exp, isfinite, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from .table import Trait

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Seen:
    """One of the trait's states."""

    trait: str
    state: str


@dataclass(frozen=True)
class SeenOther:
    """None of the trait's listed states."""

    trait: str


@dataclass(frozen=True)
class NotSure:
    """One of several states, with weights in any unit (equal where left out); no states: no information."""

    trait: str
    states: tuple[str, ...] = ()
    weights: tuple[float, ...] = ()


@dataclass(frozen=True)
class NotVisible:
    """The place could not be seen: no information."""

    trait: str


@dataclass(frozen=True)
class Measured:
    """A number in the trait's unit, and its standard error (above 0)."""

    trait: str
    value: float
    error: float


@dataclass(frozen=True)
class Weighed:
    """Likelihoods that the caller worked out, such as from colour distances.

    `other` is the likelihood under a state that is not listed. A state left out counts as 0.
    """

    trait: str
    by_state: Mapping[str, float] = field(default_factory=dict)
    other: float = 0.0


Observation = Seen | SeenOther | NotSure | NotVisible | Measured | Weighed


def likelihoods(observation: Observation, trait: Trait, seeing: Numbers) -> Numbers | None:
    """How likely the observation is under each state of the trait and, last, under some other state.

    Shapes: `seeing` is (S+1) x (S+1): rows the true state and last "some other", columns what is seen and last
            "none of these". The answer has S+1 numbers, none negative; None where nothing was learnt.
    Errors: ValueError where a state is not the trait's, or a number is not one.
    """
    match observation:
        case NotVisible() | NotSure(states=()):
            return None
        case Seen(state=state):
            return seeing[:, trait.index_of(state)]
        case SeenOther():
            return seeing[:, -1]
        case NotSure():
            return _not_sure(observation, trait, seeing)
        case Measured():
            return _measured(observation, trait)
        case Weighed():
            return _weighed(observation, trait)


def _not_sure(observation: NotSure, trait: Trait, seeing: Numbers) -> Numbers:
    weights = observation.weights or (1.0,) * len(observation.states)
    if len(weights) != len(observation.states) or len(set(observation.states)) < len(weights):
        raise ValueError(
            f"the states not told apart on trait {trait.key} must differ, with a weight for each"
        )
    _refuse_unless_weights(weights, trait)
    shares = np.array(weights, dtype=np.float64) / sum(weights)
    columns = [trait.index_of(state) for state in observation.states]
    likely = np.zeros(len(seeing))
    for column, share in zip(columns, shares, strict=True):
        likely += share * seeing[:, column]
    return likely


def _measured(observation: Measured, trait: Trait) -> Numbers:
    """A normal density about each state's number; flat over the trait's whole range where there is none.

    A tolerance is a half-width within which a state's examples lie evenly, so its variance is tolerance squared
    over three, added to the measuring error's (JCGM 100:2008, 4.3.7 and 5.1.2).
    """
    value, error = observation.value, observation.error
    if not (isfinite(value) and isfinite(error) and error > 0):
        raise ValueError(
            f"trait {trait.key} needs a finite value with an error above 0, got {value} ± {error}"
        )
    numbers = [number for number in trait.numbers if number is not None]
    if not numbers:
        raise ValueError(f"no state of trait {trait.key} has a number: name a state instead of a measure")
    tolerances = trait.tolerances or (0.0,) * len(trait.numbers)
    spreads = [sqrt(error * error + tolerance * tolerance / 3) for tolerance in tolerances]
    anywhere = 1 / (max(numbers) - min(numbers) + 6 * max(spreads))
    likely = [
        anywhere if number is None else _density(value - number, spread)
        for number, spread in zip(trait.numbers, spreads, strict=True)
    ]
    return np.array([*likely, anywhere])


def _density(distance: float, spread: float) -> float:
    return exp(-0.5 * (distance / spread) ** 2) / (spread * sqrt(2 * pi))


def _weighed(observation: Weighed, trait: Trait) -> Numbers:
    for state in observation.by_state:
        trait.index_of(state)
    likely = [float(observation.by_state.get(state, 0.0)) for state in trait.states]
    _refuse_unless_weights([*likely, observation.other], trait)
    return np.array([*likely, observation.other])


def _refuse_unless_weights(weights: tuple[float, ...] | list[float], trait: Trait) -> None:
    if any(not (isfinite(weight) and weight >= 0) for weight in weights) or not sum(weights) > 0:
        raise ValueError(f"weights on trait {trait.key} must be finite, not negative, and not all 0")
