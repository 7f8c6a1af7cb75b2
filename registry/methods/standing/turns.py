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
from registry.sentences import Sentence, counted

from . import decide

MOST_VOTES = 6
MOST_CALLS = 5 * MOST_VOTES + 1
Way = Literal["photo", "in_hand", "photo_and_sealed_example"]
ENDS = frozenset({"confirmed", "refuted", "corrected", "upheld"})
OUTCOMES = {
    "confirmed": Sentence("confirm it"),
    "refuted": Sentence("refute it"),
    "open": Sentence("leave it undecided again"),
    "disputed": Sentence("have a dispute contest it"),
    "corrected": Sentence("end the dispute: the state proposed instead takes its place"),
    "upheld": Sentence("end the dispute: what was claimed first stays"),
}
NUMBERS = (
    Sentence("One"), Sentence("Two"), Sentence("Three"), Sentence("Four"), Sentence("Five"), Sentence("Six"),
)  # fmt: skip


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

    def sentence(self, to: str, verdict: Verdict, way: Way, number: int) -> Sentence:
        votes, outcome = votes_in_words(way, self.founding, number), OUTCOMES[to]
        if verdict == "confirms":
            return counted(
                "%(votes)s that confirms it would %(outcome)s.",
                "%(votes)s that confirm it would %(outcome)s.",
                number,
                votes=votes,
                outcome=outcome,
            )
        return counted(
            "%(votes)s that contradicts it would %(outcome)s.",
            "%(votes)s that contradict it would %(outcome)s.",
            number,
            votes=votes,
            outcome=outcome,
        )


def votes_in_words(way: Way, moderator: bool, n: int) -> Sentence:
    """So many more votes; `moderator`: one of them must be a moderator's."""
    number = NUMBERS[n - 1]
    if way == "photo":
        if moderator:
            return counted(
                "%(number)s more vote by photo from a moderator",
                "%(number)s more votes by photo, one of them a moderator's,",
                n,
                number=number,
            )
        return counted("%(number)s more vote by photo", "%(number)s more votes by photo", n, number=number)
    if way == "in_hand":
        if moderator:
            return counted(
                "%(number)s more vote with a photo of an own example from a moderator",
                "%(number)s more votes with a photo of an own example, one of them a moderator's,",
                n,
                number=number,
            )
        return counted(
            "%(number)s more vote with a photo of an own example",
            "%(number)s more votes with a photo of an own example",
            n,
            number=number,
        )
    if moderator:
        return counted(
            "%(number)s more vote by photo, and one more sealed example marked, its seal pictured, "
            "from a moderator",
            "%(number)s more votes by photo, and one more sealed example marked, its seal pictured, "
            "one of them a moderator's,",
            n,
            number=number,
        )
    return counted(
        "%(number)s more vote by photo, and one more sealed example marked, its seal pictured,",
        "%(number)s more votes by photo, and one more sealed example marked, its seal pictured,",
        n,
        number=number,
    )
