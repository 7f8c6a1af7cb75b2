"""What the journal has said so far, while it is being read."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from registry.methods.facts import (
    ClaimFact,
    DisputeFact,
    ExampleFact,
    MarkFact,
    PhotoFact,
    ReleaseFacts,
    VariantFact,
    VoteFact,
    readdress_marks,
    readdress_votes,
)

REVIEWING_ROLES = frozenset({"reviewer", "moderator"})

Detail = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the journal. `by` is None where the system itself acted."""

    seq: int
    verb: str
    by: str | None
    detail: Detail


@dataclass(slots=True)
class Release:
    """One release as known so far."""

    accepted: bool
    clear_sealed_pack: bool = False
    sealed_unobtainable: bool = False
    fit: int = 0  # the fit it was settled under last
    contributors: set[str] = field(default_factory=set)  # authors and photo owners of its submissions
    variants: dict[str, VariantFact] = field(default_factory=dict)
    claims: dict[str, ClaimFact] = field(default_factory=dict)
    votes: dict[tuple[str, str], VoteFact] = field(default_factory=dict)
    examples: dict[str, ExampleFact] = field(default_factory=dict)
    photos: dict[str, PhotoFact] = field(default_factory=dict)
    marks: list[MarkFact] = field(default_factory=list)
    disputes: dict[str, DisputeFact] = field(default_factory=dict)
    successors: dict[str, str] = field(default_factory=dict)  # merged claim to the claim that survives it

    def absorb(self, other: "Release") -> None:
        self.clear_sealed_pack |= other.clear_sealed_pack
        self.contributors |= other.contributors
        self.marks += other.marks
        for name in ("variants", "claims", "votes", "examples", "photos", "disputes", "successors"):
            getattr(self, name).update(getattr(other, name))

    def change_claim(self, claim: str, **changes: Any) -> None:
        self.claims[claim] = replace(self.claims[claim], **changes)

    def change_dispute(self, dispute: str, **changes: Any) -> DisputeFact:
        self.disputes[dispute] = replace(self.disputes[dispute], **changes)
        return self.disputes[dispute]


class Journal:
    """Everything said so far: roles and links of members, and the releases with what belongs to each."""

    def __init__(self) -> None:
        self.releases: dict[str, Release] = {}
        self.merged: dict[str, str] = {}  # release to the one it was merged into
        self.roles: dict[str, set[str]] = defaultdict(set)
        self.suspended: set[str] = set()
        self.links: set[frozenset[str]] = set()
        self.of_drafts: set[str] = set()  # photos that bear on nothing until their report is sent
        self._home: dict[tuple[str, str], str] = {}

    def settle_in(self, kind: str, name: str, release: str) -> None:
        """Remember in which release a claim, photo, variant or dispute lives."""
        self._home[kind, name] = release

    def home(self, kind: str, name: str) -> str:
        if (kind, name) not in self._home:
            raise ValueError(f"no {kind} {name} before it")
        return self._home[kind, name]

    def release(self, name: str) -> Release:
        """A release, or the one it was merged into."""
        while name in self.merged:
            name = self.merged[name]
        if name not in self.releases:
            raise ValueError(f"no release {name} before it")
        return self.releases[name]

    def home_of(self, kind: str, name: str) -> Release:
        return self.release(self.home(kind, name))

    def facts(self, name: str) -> ReleaseFacts:
        release = self.releases[name]
        reviewers = {member for member, roles in self.roles.items() if roles & REVIEWING_ROLES}
        return ReleaseFacts(
            variants=tuple(release.variants.values()),
            claims=tuple(release.claims.values()),
            votes=readdress_votes(release.votes.values(), release.successors),
            examples=tuple(release.examples.values()),
            photos=tuple(release.photos.values()),
            marks=readdress_marks(release.marks, release.successors),
            disputes=tuple(release.disputes.values()),
            links=frozenset(self.links),
            release_accepted=release.accepted,
            eligible_reviewers=len(reviewers - self.suspended - release.contributors),
            clear_sealed_pack=release.clear_sealed_pack,
            sealed_unobtainable=release.sealed_unobtainable,
            fit=release.fit,
        )
