"""The votes that reliabilities are learnt from, and the numbers that the learning starts with."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from registry.methods.policy import FIRST_POLICY, Policy

KINDS = (
    "print", "colour", "finish", "tooling", "wheel", "material", "part", "count", "measure", "text", "cause",
)  # fmt: skip
"""Kinds of trait, each judged with an eye of its own; `cause` is the built-in trait."""


@dataclass(frozen=True)
class Ballots:
    """n votes, `cannot_tell` left out, by R reviewers on C claims; one row a vote, in any order.

    Shapes: every column has n rows; `known` has C: -1 not known, 0 false, 1 true.
    Units:  claims are numbered from 0 to C - 1, reviewers from 0 to R - 1, kinds as in KINDS.
    Errors: ValueError naming the first column that has another length, or a number out of range.

    A second row of the same reviewer on the same claim counts as a second reading: hand in current votes only.
    A known claim (a control item, a moderator's ruling) keeps its answer, whatever the votes say.
    """

    claims: int
    reviewers: int
    claim: NDArray[np.int32]
    reviewer: NDArray[np.int32]
    kind: NDArray[np.int8]
    in_hand: NDArray[np.bool_]
    confirms: NDArray[np.bool_]
    known: NDArray[np.int8] | None = None

    def __post_init__(self) -> None:
        limits = {
            "claim": self.claims,
            "reviewer": self.reviewers,
            "kind": len(KINDS),
            "in_hand": 2,
            "confirms": 2,
        }
        for name, limit in limits.items():
            column = getattr(self, name)
            if column.shape != self.claim.shape or column.ndim != 1:
                raise ValueError(f"{name} must have one row per vote, {self.claim.size}, got {column.shape}")
            if column.size and not (column.min() >= 0 and column.max() < limit):
                raise ValueError(f"{name} must lie between 0 and {limit - 1}")
        if self.known is not None:
            if self.known.shape != (self.claims,):
                raise ValueError(f"known must have one row per claim, {self.claims}, got {self.known.shape}")
            if self.known.size and not (self.known.min() >= -1 and self.known.max() <= 1):
                raise ValueError("known must be -1 (not known), 0 (false) or 1 (true)")


@dataclass(frozen=True)
class Start:
    """What is believed before the first vote, and how firmly.

    A strength counts imagined votes: a rate learnt from as many real votes lies halfway between what they say and
    what it leans on. A cell is one reviewer, one kind of trait and one basis (in hand, or by photo).

    Errors: ValueError naming the number that makes no sense.
    Source: the rates are the first policy's. The strengths and the weight of a known claim are this project's own
            choice; tests/methods and benchmarks/consensus show what they do.
    """

    prior: float = FIRST_POLICY.prior
    sensitivity_in_hand: float = FIRST_POLICY.sensitivity_in_hand
    specificity_in_hand: float = FIRST_POLICY.specificity_in_hand
    sensitivity_photo: float = FIRST_POLICY.sensitivity_photo
    specificity_photo: float = FIRST_POLICY.specificity_photo
    cell_to_reviewer: float = (
        12.0  # imagined votes by which a cell leans on its reviewer's overall on the basis
    )
    cell_to_kind: float = 4.0  # ... and on everybody's overall for the kind on the basis
    reviewer_to_population: float = 8.0  # a reviewer's overall, on everybody's overall on the basis
    kind_to_population: float = 40.0  # a kind's overall, likewise
    population_to_policy: float = 200.0  # everybody's overall, on the four rates above
    prior_strength: float = 20.0  # imagined claims behind `prior`
    known_weight: float = 16.0  # ordinary votes that one vote on a known claim is worth as a lesson
    tolerance: float = 1e-6  # the rounds end when no posterior and no rate moves by more
    most_rounds: int = 1000

    def __post_init__(self) -> None:
        for name in ("prior", *_RATES):
            if not 0 < getattr(self, name) < 1:
                raise ValueError(f"{name} must lie between 0 and 1, got {getattr(self, name)}")
        for basis in ("in_hand", "photo"):
            if getattr(self, f"sensitivity_{basis}") + getattr(self, f"specificity_{basis}") <= 1:
                raise ValueError(f"sensitivity and specificity ({basis}) must add up to more than 1")
        for field in fields(self):
            if field.name not in ("prior", *_RATES) and not getattr(self, field.name) >= 0:
                raise ValueError(f"{field.name} must not be negative, got {getattr(self, field.name)}")
        for name in ("reviewer_to_population", "kind_to_population", "population_to_policy", "most_rounds"):
            if not getattr(self, name) > 0:
                raise ValueError(f"{name} must be above 0, got {getattr(self, name)}")

    @classmethod
    def from_policy(cls, policy: Policy) -> "Start":
        """The policy's prior and rates; strengths as above."""
        return cls(prior=policy.prior, **{name: getattr(policy, name) for name in _RATES})

    def rates(self) -> NDArray[np.float64]:
        """Rates by basis: row 0 by photo, row 1 in hand; column 0 sensitivity, column 1 specificity."""
        return np.array(
            [
                [self.sensitivity_photo, self.specificity_photo],
                [self.sensitivity_in_hand, self.specificity_in_hand],
            ]
        )


_RATES = ("sensitivity_in_hand", "specificity_in_hand", "sensitivity_photo", "specificity_photo")
