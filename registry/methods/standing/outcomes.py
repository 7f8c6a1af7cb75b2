"""What deciding answers: a standing for every claim, variant and dispute, and in words what is missing."""

from dataclasses import dataclass
from typing import Literal

ClaimWord = Literal["open", "confirmed", "disputed", "refuted"]
VariantWord = Literal["provisional", "verified", "contested", "set_apart", "struck", "merged", "split"]


@dataclass(frozen=True, slots=True)
class ClaimStanding:
    """Where a claim stands.

    `counted`: votes that weigh, `cannot_tell` aside, linked members as one. `examples`: how many it is marked
    on. `sealed`: one of them is sealed, its seal pictured all round. `founding`: so decided by founding mode.
    `owners`: of the votes counted, those that name an own photographed example. `needs_only_votes`: the evidence is
    whole and no dispute contests it, so that votes alone can confirm it.
    """

    standing: ClaimWord
    posterior: float
    counted: int
    examples: int
    sealed: bool
    missing: tuple[str, ...]
    founding: bool = False
    owners: int = 0
    needs_only_votes: bool = False


@dataclass(frozen=True, slots=True)
class VariantStanding:
    """Where a variant stands. `founding`: something its standing rests on was decided by founding mode."""

    standing: VariantWord
    missing: tuple[str, ...]
    founding: bool


@dataclass(frozen=True, slots=True)
class DisputeStanding:
    """Whether an open dispute contests its claim, and how it is due to be closed."""

    contests: bool
    due: Literal["corrected", "upheld"] | None


@dataclass(frozen=True, slots=True)
class ReleaseStanding:
    """All standings of a release, by id. `founding`: founding mode applies to it."""

    claims: dict[str, ClaimStanding]
    variants: dict[str, VariantStanding]
    disputes: dict[str, DisputeStanding]
    founding: bool
