"""What the photos of a release prove: which examples show a claim, and which examples are independent.

Rules of the trade; common practice, no published source. Photos taken down prove nothing, and neither does a
mark whose photo or example is not among the facts.
"""

from collections import defaultdict
from collections.abc import Iterable
from itertools import combinations

from registry.methods.facts import ClaimFact, ExampleFact, ReleaseFacts

_SEAL_VIEW = "seal_all_round"
_LOOSE_VIEWS = frozenset({"rivets", "axles"})


class Proof:
    """The evidence of one release, read once from its facts."""

    def __init__(self, facts: ReleaseFacts) -> None:
        self._examples = {example.id: example for example in facts.examples}
        self._groups = linked_groups(facts.links)
        self._views: dict[str, set[str]] = {}
        self._shown: dict[str, set[str]] = defaultdict(set)
        self._can_do_without_sealed = not facts.clear_sealed_pack or facts.sealed_unobtainable
        photos = {photo.id: photo for photo in facts.photos if not photo.down}
        for photo in photos.values():
            for example in photo.examples:
                self._views.setdefault(example, set()).update(photo.views)
        for mark in facts.marks:
            if mark.photo in photos and mark.example in self._examples:
                self._shown[mark.claim].add(mark.example)
                self._views.setdefault(mark.example, set()).update(photos[mark.photo].views)

    def group(self, member: str) -> str:
        """One name for a member and all members linked to them by declaration, directly or through others."""
        return self._groups.get(member, member)

    def examples_of(self, claim: str) -> frozenset[str]:
        """The examples on which a photo shows the claim by a mark."""
        return frozenset(self._shown.get(claim, ()))

    def is_own(self, example: str | None, member: str) -> bool:
        known = self._examples.get(example) if example else None
        return known is not None and known.owner == member

    def is_own_photographed(self, example: str | None, member: str) -> bool:
        return self.is_own(example, member) and example in self._views

    def sealed_examples(self, claim: ClaimFact) -> frozenset[str]:
        """Sealed examples marked for the claim, whether or not the seal itself is pictured."""
        return frozenset(
            example for example in self.examples_of(claim.id) if self._examples[example].condition == "sealed"
        )

    def has_sealed(self, claim: ClaimFact) -> bool:
        """One sealed example shows the claim, and its seal or blister is pictured all round."""
        return any(_SEAL_VIEW in self._views[example] for example in self.sealed_examples(claim))

    def may_substitute(self, claim: ClaimFact) -> bool:
        """Loose examples may stand in: no sealed one can show the trait, or none is to be had."""
        return self._can_do_without_sealed or not claim.seen_in_pack

    def loose_owners(self, claim: ClaimFact) -> int:
        """Unlinked known owners of loose examples that show the claim, with rivets and axles pictured."""
        owners = {
            self.group(example.owner)
            for example in map(self._examples.__getitem__, self.examples_of(claim.id))
            if example.owner and example.condition == "loose" and self._views[example.id] >= _LOOSE_VIEWS
        }
        return len(owners)

    def independent(self, one: str, other: str) -> bool:
        """Distinct unlinked owners, not of one case, and case, shop or month known for both and different."""
        a, b = self._examples[one], self._examples[other]
        if not a.owner or not b.owner or self.group(a.owner) == self.group(b.owner):
            return False
        if a.case and a.case == b.case:
            return False
        return any(
            ours and theirs and ours != theirs for ours, theirs in zip(_found(a), _found(b), strict=True)
        )

    def has_independent_pair(self, examples: Iterable[str]) -> bool:
        return any(self.independent(one, other) for one, other in combinations(sorted(examples), 2))

    def shows_together(self, claims: Iterable[ClaimFact]) -> bool:
        """Of two independent examples, one shows every claim by marks and the other at least one of them.

        There must be at least one claim.
        """
        shown = [self.examples_of(claim.id) for claim in claims]
        whole, some = frozenset.intersection(*shown), frozenset.union(*shown)
        return any(self.independent(one, other) for one in whole for other in some if one != other)


def linked_groups(links: Iterable[frozenset[str]]) -> dict[str, str]:
    """Each linked member's group, named after its smallest member; links chain."""
    group: dict[str, set[str]] = {}
    for pair in links:
        joined = set(pair).union(*(group.get(member, set()) for member in pair))
        group.update(dict.fromkeys(joined, joined))
    return {member: min(joined) for member, joined in group.items()}


def _found(example: ExampleFact) -> tuple[str | None, str | None, str | None]:
    return example.case, example.shop, example.month
