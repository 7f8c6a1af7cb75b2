"""What would turn a claim's standing: the fewest further votes, tried out by deciding on facts that have them."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from registry.methods.facts import (
    Basis,
    ClaimFact,
    ExampleFact,
    MarkFact,
    PhotoFact,
    ReleaseFacts,
    Verdict,
    VoteFact,
)
from registry.methods.policy import Policy, Reliabilities

from . import decide
from .wording import in_words

MOST_VOTES = 6
MOST_CALLS = 5 * MOST_VOTES + 1
Way = Literal["photo", "in_hand", "photo_and_sealed_example"]
ENDS = frozenset({"confirmed", "refuted", "corrected", "upheld"})
OUTCOMES = {
    "confirmed": "confirm it",
    "refuted": "refute it",
    "open": "leave it undecided again",
    "disputed": "have a dispute contest it",
    "corrected": "end the dispute: the state proposed instead takes its place",
    "upheld": "end the dispute: what was claimed first stays",
}


@dataclass(frozen=True, slots=True)
class Turn:
    """So many further votes of one kind, by reviewers not heard yet, would bring the claim `to` another word.

    `way` "photo_and_sealed_example": votes by photo after one more sealed example is marked for it.
    """

    to: str
    verdict: Verdict
    votes: int
    way: Way
    moderator: bool
    words: str


def turns_of(
    claim: ClaimFact, facts: ReleaseFacts, policy: Policy, reliabilities: Reliabilities
) -> tuple[Turn, ...]:
    """For and against: each word on the way with votes by photo, the last one with fewer votes in hand, and where
    votes alone cannot confirm it, with the evidence as well. None for a closed claim.

    The new voters are as reliable as anybody unknown; where founding mode rules, the first is a moderator. No more
    than `MOST_VOTES` are tried each way, hence `decide` is called at most `MOST_CALLS` times.
    """
    if not claim.is_open:
        return ()
    trial = Trial(claim, facts, policy, reliabilities)
    found: list[Turn] = []
    for verdict in ("confirms", "contradicts"):
        by_photo = list(trial.words(verdict, "photo"))
        found += by_photo
        last = by_photo[-1].votes if by_photo and by_photo[-1].to in ENDS else MOST_VOTES + 1
        in_hand = trial.words(verdict, "in_hand", last - 1)
        found += [turn for turn in in_hand if turn.to in ENDS]
        if verdict == "confirms" and last > MOST_VOTES and trial.now not in ENDS and not claim.is_cause:
            proven = trial.words("confirms", "photo_and_sealed_example")
            found += [turn for turn in proven if turn.to in ENDS]
    return tuple(found)


class Trial:
    """A claim among facts to which votes are added."""

    def __init__(
        self, claim: ClaimFact, facts: ReleaseFacts, policy: Policy, reliabilities: Reliabilities
    ) -> None:
        self.claim, self.facts, self.policy, self.reliabilities = claim, facts, policy, reliabilities
        self.founding = facts.eligible_reviewers < policy.founding_below
        self.now = self.word(facts)

    def word(self, facts: ReleaseFacts) -> str:
        """Where the claim stands, or how an open dispute of it is due to end."""
        standing = decide(facts, self.policy, self.reliabilities)
        for dispute in facts.disputes:
            if dispute.is_open and self.claim.id in (dispute.claim, dispute.rival):
                if due := standing.disputes[dispute.id].due:
                    return due
        return standing.claims[self.claim.id].standing

    def words(self, verdict: Verdict, way: Way, most: int = MOST_VOTES) -> Iterator[Turn]:
        """Each new word that one vote after the other brings, up to one that ends the matter."""
        word = self.now
        if word == {"confirms": "confirmed", "contradicts": "refuted"}.get(verdict):
            return
        for number in range(1, most + 1):
            if word in ENDS and word != self.now:
                return
            then = self.word(self.altered(verdict, way, number))
            if then not in (word, self.now):
                yield Turn(
                    then, verdict, number, way, self.founding, self.sentence(then, verdict, way, number)
                )
            word = then

    def altered(self, verdict: Verdict, way: Way, number: int) -> ReleaseFacts:
        """The facts with so many further votes, by voters nobody has heard yet."""
        seqs = [vote.seq for vote in self.facts.votes] + [dispute.seq for dispute in self.facts.disputes]
        seq = max(seqs, default=0)
        voters = [f"?{n}" for n in range(1, number + 1)]
        basis: Basis = "own_loose" if way == "in_hand" else "photo"
        votes = tuple(
            VoteFact(
                claim=self.claim.id,
                by=voter,
                verdict=verdict,
                basis=basis,
                example=f"?e{voter}" if way == "in_hand" else None,
                moderator=self.founding and n == 1,
                seq=seq + n,
            )
            for n, voter in enumerate(voters, start=1)
        )
        facts = replace(self.facts, votes=(*self.facts.votes, *votes))
        if way == "in_hand":
            owned = tuple(ExampleFact(f"?e{voter}", voter, "loose") for voter in voters)
            shown = tuple(PhotoFact(f"?p{voter}", voter, (f"?e{voter}",)) for voter in voters)
            return replace(facts, examples=(*facts.examples, *owned), photos=(*facts.photos, *shown))
        return self.with_sealed(facts) if way == "photo_and_sealed_example" else facts

    def with_sealed(self, facts: ReleaseFacts) -> ReleaseFacts:
        """One more sealed example marked for the claim, its seal pictured all round."""
        photo = PhotoFact("?seal", "?", ("?sealed",), frozenset({"seal_all_round"}))
        return replace(
            facts,
            examples=(*facts.examples, ExampleFact("?sealed", None, "sealed")),
            photos=(*facts.photos, photo),
            marks=(*facts.marks, MarkFact(self.claim.id, "?sealed", "?seal")),
        )

    def sentence(self, to: str, verdict: Verdict, way: Way, number: int) -> str:
        votes = f"{in_words(number)} more {'vote' if number == 1 else 'votes'}"
        that = ("confirms" if number == 1 else "confirm") if verdict == "confirms" else (
            "contradicts" if number == 1 else "contradict"
        )  # fmt: skip
        how = {
            "photo": "by photo",
            "in_hand": "with a photo of an own example",
            "photo_and_sealed_example": "by photo, and one more sealed example marked, its seal pictured,",
        }[way]
        moderator = ""
        if self.founding:
            moderator = " from a moderator" if number == 1 else ", one of them a moderator's,"
        return f"{votes} {how}{moderator} that {that} it would {OUTCOMES[to]}.".capitalize()
