"""When a statement of order is confirmed, refuted or disputed: by the same tally of votes that decides claims.

A statement is judged like a claim that no photograph can show, as a cause is: votes and disputes alone decide.
A dispute of it proposes nothing instead, so that to contradict the statement is to side with the dispute.
"""

from dataclasses import dataclass
from typing import Literal

from registry.methods.facts import ClaimFact, ReleaseFacts, VoteFact
from registry.methods.policy import EQUAL, Policy, Reliabilities
from registry.sentences import Sentence

from .claims import Decision, Grounds, by_votes, decide_claim, missing_votes
from .outcomes import ClaimWord, DisputeStanding
from .tally import add_up
from .wording import dispute_to_end

_TRAIT = "order"
_NO_KIND = ""  # of trait: a reviewer is trusted on orders as overall
_ABOUT = Sentence("this order")


@dataclass(frozen=True, slots=True)
class StatementFact:
    """A statement of order, taken back or not. Its author may not vote on it."""

    id: str
    author: str
    is_open: bool = True


@dataclass(frozen=True, slots=True)
class ObjectionFact:
    """A dispute of a statement. `photo`: it carries one, not taken down; `seq` on the clock of votes."""

    id: str
    statement: str
    opened_by: str
    photo: bool = False
    is_open: bool = True
    ruling: Literal["upheld"] | None = None  # a moderator's
    seq: int = 0


@dataclass(frozen=True, slots=True)
class OrderFacts:
    """All that bears on the statements of one release. A vote's `claim` is the statement that it is on."""

    statements: tuple[StatementFact, ...] = ()
    votes: tuple[VoteFact, ...] = ()
    disputes: tuple[ObjectionFact, ...] = ()
    links: frozenset[frozenset[str]] = frozenset()
    eligible_reviewers: int = 0


@dataclass(frozen=True, slots=True)
class StatementStanding:
    """Where a statement stands; `counted`, `missing` and `founding` as for a claim."""

    standing: ClaimWord
    posterior: float
    counted: int
    missing: tuple[str, ...]
    founding: bool = False


@dataclass(frozen=True, slots=True)
class OrderStanding:
    """Standings of statements and of their disputes, by id."""

    statements: dict[str, StatementStanding]
    disputes: dict[str, DisputeStanding]


def decide_statements(
    facts: OrderFacts, policy: Policy, reliabilities: Reliabilities = EQUAL
) -> OrderStanding:
    """The standing of every statement of order of a release, and of every dispute of one.

    Confirmed and refuted as claims are by votes, founding mode included. An open dispute contests once it carries
    a photo, or a second reviewer contradicts the statement. It is due `corrected` when the votes refute the
    statement, `upheld` when those cast since it was opened confirm it, or a moderator rules so.
    Errors: ValueError where a dispute or a vote names a statement that is not among the facts.
    """
    claims = {said.id: _as_claim(said) for said in facts.statements}
    for thing, id, named in [
        *(("dispute", dispute.id, dispute.statement) for dispute in facts.disputes),
        *(("vote by", vote.by, vote.claim) for vote in facts.votes),
    ]:
        if named not in claims:
            raise ValueError(f"{thing} {id} names a statement that is not among the facts")
    known = ReleaseFacts(
        claims=tuple(claims.values()),
        votes=facts.votes,
        links=facts.links,
        eligible_reviewers=facts.eligible_reviewers,
    )
    grounds = Grounds(known, policy, reliabilities)
    decisions = {id: decide_claim(claim, grounds) for id, claim in claims.items()}
    disputes = {
        dispute.id: _dispute_standing(dispute, decisions[dispute.statement], grounds)
        for dispute in facts.disputes
    }
    contested = {dispute.statement for dispute in facts.disputes if disputes[dispute.id].contests}
    statements = {
        said.id: _statement_standing(said, decisions[said.id], said.id in contested, grounds)
        for said in facts.statements
    }
    return OrderStanding(statements, disputes)


def _as_claim(said: StatementFact) -> ClaimFact:
    return ClaimFact(
        id=said.id,
        variant="",
        trait=_TRAIT,
        state=_TRAIT,
        author=said.author,
        is_open=said.is_open,
        is_cause=True,  # shown by no mark
        barred=frozenset({said.author}),
    )


def _statement_standing(
    said: StatementFact, decision: Decision, is_contested: bool, grounds: Grounds
) -> StatementStanding:
    missing: list[str] = [dispute_to_end(_ABOUT)] if is_contested else []
    if decision.word == "open":
        missing += missing_votes(_ABOUT, decision.tally, grounds, by_owners=False)
    return StatementStanding(
        standing="disputed" if is_contested else decision.word,
        posterior=decision.tally.posterior,
        counted=decision.tally.counted,
        missing=tuple(missing) if said.is_open else (),
        founding=decision.founding and not is_contested,
    )


def _dispute_standing(dispute: ObjectionFact, decision: Decision, grounds: Grounds) -> DisputeStanding:
    if not dispute.is_open:
        return DisputeStanding(contests=False, due=None)
    opener = grounds.proof.group(dispute.opened_by)
    is_joined = any(
        not voice.confirms and grounds.proof.group(voice.by) != opener
        for voice in grounds.votes.voices(dispute.statement, ())
    )
    contests = dispute.photo or is_joined
    if decision.word == "refuted":
        return DisputeStanding(contests, "corrected")
    since = grounds.votes.voices(dispute.statement, (), since=dispute.seq)
    tally = add_up(since, _NO_KIND, grounds.policy, grounds.reliabilities)
    is_upheld = dispute.ruling == "upheld" or by_votes(tally, grounds)[0] == "confirmed"
    return DisputeStanding(contests, "upheld" if is_upheld else None)
