"""Why a claim stands as it does, told from the very voices, weights and decisions that standing itself uses."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp
from types import MappingProxyType
from typing import Literal

from registry.methods.facts import ClaimFact, ReleaseFacts, VoteFact
from registry.methods.policy import EQUAL, Policy, Reliabilities
from registry.sentences import Sentence

from . import decide
from .claims import Grounds, voices_on
from .outcomes import ClaimStanding
from .tally import Voice, weight_of
from .turns import Turn, turns_of

BANDS = (
    (1.25, Sentence("counts hardly for it"), Sentence("counts hardly against it")),
    (2.0, Sentence("counts a little for it"), Sentence("counts a little against it")),
    (5.0, Sentence("counts fairly for it"), Sentence("counts fairly against it")),
    (20.0, Sentence("counts strongly for it"), Sentence("counts strongly against it")),
    (float("inf"), Sentence("counts very strongly for it"), Sentence("counts very strongly against it")),
)
"""How strongly a vote counts, by how many times likelier it makes the one side against the other (Bayes factor).

Our own words and limits; no published source. Under the first policy a vote by photo counts 4 times, fairly; one with
the item in hand 5.7 times, strongly.
"""


Uncounted = Literal["seller", "surge"]
UNCOUNTED: dict[Uncounted | None, str] = {
    None: Sentence("Was no reviewer when voting, so it is noted but does not count."),
    "seller": Sentence("Sells what this is about, and has said so: it is noted but does not count."),
    "surge": Sentence(
        "Came in a rush of votes, from an account younger than the rush: it is noted but does not count."
    ),
}
"""Why a vote was kept without counting, where nothing in the facts of a release tells."""


@dataclass(frozen=True, slots=True)
class HeardVote:
    """A voice that counts. `on`: the claim voted on, which across a dispute is the other side. `weight`: what it adds
    to the log-odds, above 0 for the claim. `words`: the same in words."""

    by: str
    on: str
    confirms: bool
    in_hand: bool
    example: str | None
    seq: int
    weight: float
    words: str


@dataclass(frozen=True, slots=True)
class UnheardVote:
    """A vote on the claim that weighs nothing, and why."""

    by: str
    verdict: str
    seq: int
    reason: str


@dataclass(frozen=True, slots=True)
class Why:
    """All that a claim's standing rests on. Votes in the order they were cast; `examples` and `disputes` are ids."""

    standing: ClaimStanding
    is_founding_release: bool
    heard: tuple[HeardVote, ...]
    unheard: tuple[UnheardVote, ...]
    likely: str
    examples: tuple[str, ...]
    proof: str
    disputes: tuple[str, ...]
    turns: tuple[Turn, ...]


def why(
    claim_id: str,
    facts: ReleaseFacts,
    policy: Policy,
    reliabilities: Reliabilities = EQUAL,
    uncounted: Mapping[str, Uncounted] = MappingProxyType({}),
) -> Why:
    """Explain one claim of the release. Errors: KeyError where it is not among the facts.

    `uncounted`: by voter, why a vote on the claim does not count though its voter was a reviewer.
    Cost: `decide` once, and for what would change the standing at most `turns.MOST_CALLS` times more.
    """
    grounds = Grounds(facts, policy, reliabilities)
    claim = grounds.claims[claim_id]
    standing = decide(facts, policy, reliabilities)
    heard = heard_votes(claim, grounds)
    return Why(
        standing=standing.claims[claim_id],
        is_founding_release=standing.founding,
        heard=heard,
        unheard=unheard_votes(claim, grounds, heard, uncounted),
        likely=in_a_hundred(standing.claims[claim_id].posterior),
        examples=tuple(sorted(grounds.proof.examples_of(claim_id))),
        proof=proof_in_words(claim, grounds),
        disputes=tuple(d.id for d in facts.disputes if claim_id in (d.claim, d.rival)),
        turns=turns_of(claim, facts, policy, reliabilities),
    )


def heard_votes(claim: ClaimFact, grounds: Grounds) -> tuple[HeardVote, ...]:
    told = []
    for voice in voices_on(claim, grounds):
        vote = spoken(voice, claim, grounds)
        weight = weight_of(voice, claim.kind, grounds.policy, grounds.reliabilities)
        told.append(
            HeardVote(
                by=voice.by,
                on=vote.claim,
                confirms=voice.confirms,
                in_hand=voice.in_hand,
                example=vote.example,
                seq=vote.seq,
                weight=weight,
                words=weight_in_words(weight),
            )
        )
    return tuple(sorted(told, key=lambda one: (one.seq, one.by)))


def spoken(voice: Voice, claim: ClaimFact, grounds: Grounds) -> VoteFact:
    """The vote by which the voice speaks: the latest of its member that says so here or on the other side."""
    sides = {claim.id, *grounds.counterparts(claim, frozenset())}
    votes = [vote for vote in grounds.facts.votes if vote.by == voice.by and vote.claim in sides]
    return max((vote for vote in votes if says(vote, claim) == voice.confirms), key=lambda vote: vote.seq)


def says(vote: VoteFact, claim: ClaimFact) -> bool | None:
    """Whether a vote, here or on the other side, is for the claim; None where it says nothing of it."""
    if vote.claim == claim.id:
        return {"confirms": True, "contradicts": False}.get(vote.verdict)
    return False if vote.verdict == "confirms" else None


def unheard_votes(
    claim: ClaimFact, grounds: Grounds, heard: Sequence[HeardVote], uncounted: Mapping[str, Uncounted]
) -> tuple[UnheardVote, ...]:
    counted = {(one.by, one.on) for one in heard}
    votes = [v for v in grounds.facts.votes if v.claim == claim.id and (v.by, v.claim) not in counted]
    return tuple(
        UnheardVote(vote.by, vote.verdict, vote.seq, why_unheard(vote, claim, grounds, heard, uncounted))
        for vote in sorted(votes, key=lambda vote: (vote.seq, vote.by))
    )


def why_unheard(
    vote: VoteFact,
    claim: ClaimFact,
    grounds: Grounds,
    heard: Sequence[HeardVote],
    uncounted: Mapping[str, Uncounted],
) -> str:
    if vote.verdict == "cannot_tell":
        return Sentence("Could not tell, which counts for neither side.")
    if not vote.counts:
        return UNCOUNTED[uncounted.get(vote.by)]
    if vote.by in claim.barred and not grounds.proof.is_own(vote.example, vote.by):
        return Sentence("Reported it, or owns a photo in the report: others must judge it.")
    if any(one.by == vote.by for one in heard):
        return Sentence("Voted later on the other side of the dispute, and that counts.")
    if any(grounds.proof.group(one.by) == grounds.proof.group(vote.by) for one in heard):
        return Sentence("Linked to another who voted the same: linked members count once.")
    if not voices_on(claim, grounds) and claim.state == "not_known":
        return Sentence("That the cause is not known cannot be voted on.")
    return Sentence("Linked to another who voted otherwise: linked members who disagree do not count.")


def weight_in_words(weight: float) -> str:
    """`counts strongly for it`, from a log-likelihood ratio in natural units.

    >>> weight_in_words(1.3863)
    'counts fairly for it'
    """
    factor = exp(abs(weight))
    on_its_side, against_it = next(words for limit, *words in BANDS if factor < limit)
    return on_its_side if weight >= 0 else against_it


def in_a_hundred(probability: float) -> str:
    """`about 97 in 100`; near the ends it says no more than that.

    >>> in_a_hundred(0.9697)
    'about 97 in 100'
    """
    if probability > 0.99:
        return Sentence("more than 99 in 100")
    if probability < 0.01:
        return Sentence("less than 1 in 100")
    return Sentence("about %(number)s in 100", number=round(100 * probability))


def proof_in_words(claim: ClaimFact, grounds: Grounds) -> str:
    """What the photos prove of it, beyond that a mark shows it."""
    proof = grounds.proof
    if claim.is_cause:
        return Sentence("A cause is judged from the whole variant and needs no mark.")
    if proof.has_sealed(claim):
        return Sentence("A sealed example shows it, its seal pictured all round.")
    if not claim.alterable:
        return Sentence("It can hardly be altered after sale, so no sealed example is needed.")
    if proof.may_substitute(claim) and proof.loose_owners(claim) >= grounds.policy.loose_substitutes:
        return Sentence(
            "Loose examples of several owners, rivets and axles pictured, stand in for a sealed one."
        )
    return Sentence("It can be altered after sale, and no sealed example proves it yet.")
