"""The numbers that standing is decided by: stored with a version, written into each edition.

Probabilities have at most four decimals: a policy is written in whole ten-thousandths and read back equal.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import NamedTuple, Protocol

_SCALE = 10_000
_SUFFIX = "_per_10000"
_PROBABILITIES = (
    "prior",
    "sensitivity_in_hand",
    "specificity_in_hand",
    "sensitivity_photo",
    "specificity_photo",
    "confirm_at",
    "refute_at",
    "founding_confirm_at",
)


@dataclass(frozen=True, slots=True)
class Policy:
    """One version of the rules' numbers. Errors: ValueError naming the number that makes no sense."""

    version: int
    prior: float
    sensitivity_in_hand: float
    specificity_in_hand: float
    sensitivity_photo: float
    specificity_photo: float
    confirm_at: float
    refute_at: float
    votes_needed: int
    own_example_votes_needed: int
    founding_below: int  # eligible reviewers
    founding_confirm_at: float
    founding_votes_needed: int
    loose_substitutes: int

    def __post_init__(self) -> None:
        for name in _PROBABILITIES:
            value = getattr(self, name)
            if not 0 < value < 1:
                raise ValueError(f"{name} must lie between 0 and 1, got {value}")
            if round(value * _SCALE) / _SCALE != value:
                raise ValueError(f"{name} has more than four decimals: {value}")
        for basis in ("in_hand", "photo"):
            if getattr(self, f"sensitivity_{basis}") + getattr(self, f"specificity_{basis}") <= 1:
                raise ValueError(f"sensitivity and specificity ({basis}) must add up to more than 1")
        if not self.refute_at < self.founding_confirm_at <= self.confirm_at:
            raise ValueError("refute_at must be below founding_confirm_at, and that not above confirm_at")
        for name in (
            "votes_needed",
            "own_example_votes_needed",
            "founding_votes_needed",
            "loose_substitutes",
        ):
            if getattr(self, name) < 1:
                raise ValueError(f"{name} must be at least 1, got {getattr(self, name)}")

    def to_dict(self) -> dict[str, int]:
        """Whole numbers only, fit for canonical JSON: probabilities in ten-thousandths, named so."""
        numbers = {}
        for name, value in asdict(self).items():
            if name in _PROBABILITIES:
                numbers[name + _SUFFIX] = round(value * _SCALE)
            else:
                numbers[name] = value
        return numbers

    @classmethod
    def from_dict(cls, numbers: Mapping[str, int]) -> "Policy":
        """The policy that `to_dict` wrote. Errors: ValueError where a number is missing or unknown."""
        named = {
            name.removesuffix(_SUFFIX): value / _SCALE if name.endswith(_SUFFIX) else value
            for name, value in numbers.items()
        }
        try:
            return cls(**named)  # type: ignore[arg-type]
        except TypeError as unfit:
            raise ValueError(f"this is no policy of ours: {unfit}") from unfit


FIRST_POLICY = Policy(
    version=1,
    prior=0.5,
    sensitivity_in_hand=0.85,
    specificity_in_hand=0.85,
    sensitivity_photo=0.80,
    specificity_photo=0.80,
    confirm_at=0.95,
    refute_at=0.05,
    votes_needed=3,
    own_example_votes_needed=2,
    founding_below=5,
    founding_confirm_at=0.90,
    founding_votes_needed=2,
    loose_substitutes=3,
)


class Rates(NamedTuple):
    """How well a reviewer judges: of true claims confirmed, and of false claims contradicted."""

    sensitivity: float
    specificity: float


class Reliabilities(Protocol):
    """How far standing trusts a vote: a stored fit answers per reviewer, `EQUAL` the same for all."""

    def rates(self, reviewer: str, kind: str, in_hand: bool, policy: Policy) -> Rates:
        """Rates of this reviewer on this kind of trait, with the item in hand or from photos only.

        `kind` is blank where it is not known, as in old lines of the journal: the reviewer's overall answers.
        """


class EqualReliabilities:
    """Every reviewer as good as the next: the policy's own rates."""

    def rates(self, reviewer: str, kind: str, in_hand: bool, policy: Policy) -> Rates:
        if in_hand:
            return Rates(policy.sensitivity_in_hand, policy.specificity_in_hand)
        return Rates(policy.sensitivity_photo, policy.specificity_photo)


EQUAL = EqualReliabilities()
