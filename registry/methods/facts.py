"""What is known about one release, as plain values: all that its standings are computed from.

Ids are strings. Every record is frozen, so that facts may be shared, compared and kept. `seq` is one clock
for votes, disputes and variants alike, such as the number of the journal line: later is larger.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

Verdict = Literal["confirms", "contradicts", "cannot_tell"]
Basis = Literal["own_sealed", "own_loose", "photo"]
Condition = Literal["sealed", "boxed", "loose"]
Event = Literal["struck", "merged", "split"]

BASELINE = "baseline"
NOT_KNOWN = "not_known"
PRODUCTION_CAUSES = frozenset({"running_change", "parallel"})
IN_HAND = frozenset({"own_sealed", "own_loose"})


@dataclass(frozen=True, slots=True)
class VoteFact:
    """The one current vote of a member on a claim, and when it was cast."""

    claim: str
    by: str
    verdict: Verdict
    basis: Basis
    example: str | None = None
    counts: bool = True  # the member was a reviewer when voting
    moderator: bool = False
    seq: int = 0


@dataclass(frozen=True, slots=True)
class ClaimFact:
    """A claim, open or closed. On the cause trait `state` is the cause's key, such as `running_change`."""

    id: str
    variant: str
    trait: str
    state: str
    author: str | None = None
    is_difference: bool = False
    is_open: bool = True
    rival_in: str | None = None  # the dispute that opened it
    alterable: bool = False
    seen_in_pack: bool = False
    accepted: bool = True  # neither its trait nor its state is only proposed
    is_cause: bool = False
    base_claim: str | None = None
    barred: frozenset[str] = frozenset()  # its author and the photo owners of its submission
    trait_name: str = ""
    state_name: str = ""
    kind: str = ""  # of its trait, such as colour or cause; blank in old lines of the journal


@dataclass(frozen=True, slots=True)
class ExampleFact:
    """One physical item; its owner and where it was found may be unknown."""

    id: str
    owner: str | None = None
    condition: Condition = "loose"
    case: str | None = None
    shop: str | None = None
    month: str | None = None


@dataclass(frozen=True, slots=True)
class PhotoFact:
    """A picture of one or more examples; once taken down it proves nothing."""

    id: str
    owner: str
    examples: tuple[str, ...] = ()
    views: frozenset[str] = frozenset()
    down: bool = False


@dataclass(frozen=True, slots=True)
class MarkFact:
    """A region of the photo shows the claim on the example."""

    claim: str
    example: str
    photo: str


@dataclass(frozen=True, slots=True)
class DisputeFact:
    """An objection to `claim` that proposes `rival` instead. `photo`: it carries one, not taken down."""

    id: str
    claim: str
    rival: str
    opened_by: str
    photo: bool = False
    is_open: bool = True
    ruling: Literal["upheld"] | None = None  # a moderator's
    seq: int = 0


@dataclass(frozen=True, slots=True)
class VariantFact:
    """A variant; `seq` is the order of sending."""

    id: str
    seq: int
    title: str = ""
    event: Event | None = None


@dataclass(frozen=True, slots=True)
class ReleaseFacts:
    """Everything that bears on the standings inside one release."""

    variants: tuple[VariantFact, ...] = ()
    claims: tuple[ClaimFact, ...] = ()
    votes: tuple[VoteFact, ...] = ()
    examples: tuple[ExampleFact, ...] = ()
    photos: tuple[PhotoFact, ...] = ()
    marks: tuple[MarkFact, ...] = ()
    disputes: tuple[DisputeFact, ...] = ()
    links: frozenset[frozenset[str]] = field(default=frozenset())  # pairs of members declared as linked
    release_accepted: bool = True
    eligible_reviewers: int = 0
    clear_sealed_pack: bool = False  # some pack of the release is sealed and see-through
    sealed_unobtainable: bool = False  # a moderator has marked sealed examples so
    fit: int = 0  # number of the fit it was settled under last; 0: none, everybody as the policy says


def readdress_votes(votes: Iterable[VoteFact], successors: Mapping[str, str]) -> tuple[VoteFact, ...]:
    """Votes as they count after a merge: a vote on a merged claim counts on the claim that survives it.

    A member who voted on both keeps the later vote. `successors` maps each closed claim to its survivor.
    """
    kept: dict[tuple[str, str], VoteFact] = {}
    for vote in votes:
        moved = replace(vote, claim=survivor(vote.claim, successors))
        rival = kept.get((moved.claim, moved.by))
        if rival is None or rival.seq < moved.seq:
            kept[moved.claim, moved.by] = moved
    return tuple(kept.values())


def readdress_marks(marks: Iterable[MarkFact], successors: Mapping[str, str]) -> tuple[MarkFact, ...]:
    """Marks as they count after a merge: what showed the merged claim shows its survivor."""
    return tuple(replace(mark, claim=survivor(mark.claim, successors)) for mark in marks)


def survivor(claim: str, successors: Mapping[str, str]) -> str:
    """The claim at the end of a chain of merges. Errors: ValueError where the chain runs in a circle."""
    seen = {claim}
    while claim in successors:
        claim = successors[claim]
        if claim in seen:
            raise ValueError(f"the merges of claim {claim} run in a circle")
        seen.add(claim)
    return claim
