"""When a claim is confirmed, refuted or disputed, and when a dispute contests it or is due to close."""

from collections import defaultdict
from collections.abc import Set
from dataclasses import dataclass

from registry.methods.facts import BASELINE, NOT_KNOWN, ClaimFact, DisputeFact, ReleaseFacts
from registry.methods.policy import Policy, Rates, Reliabilities

from . import wording
from .outcomes import ClaimStanding, ClaimWord, DisputeStanding
from .proof import Proof
from .tally import Tally, Voice, Votes, add_up

_ROUNDING = 1e-12
_NONE: frozenset[str] = frozenset()


class Grounds:
    """All that the claims of one release are decided on, indexed once."""

    def __init__(self, facts: ReleaseFacts, policy: Policy, reliabilities: Reliabilities) -> None:
        self.facts, self.policy, self.reliabilities = facts, policy, reliabilities
        self.claims = {claim.id: claim for claim in facts.claims}
        self.proof = Proof(facts)
        self.votes = Votes(facts.votes, self.claims, self.proof)
        self.founding = facts.eligible_reviewers < policy.founding_below
        standing = [variant for variant in facts.variants if variant.event is None]
        self.first_sent = min(((variant.seq, variant.id) for variant in standing), default=(0, ""))[1]
        self.disputes = {dispute.id: dispute for dispute in facts.disputes}
        self._opposed: dict[str, list[tuple[str, str]]] = defaultdict(list)
        self._contesting: dict[str, set[str]] = defaultdict(set)
        for dispute in facts.disputes:
            self._opposed[dispute.claim].append((dispute.id, dispute.rival))
            self._opposed[dispute.rival].append((dispute.id, dispute.claim))
            if self.contests(dispute):
                self._contesting[dispute.claim].add(dispute.id)

    def contests(self, dispute: DisputeFact) -> bool:
        """An open dispute contests once it carries a photo, or a second reviewer confirms its rival.

        A photo on which the rival is marked is carried too, though it came with another dispute of the same report.
        """
        if not dispute.is_open:
            return False
        if self.proof.examples_of(dispute.rival):
            return True
        opener = self.proof.group(dispute.opened_by)
        return dispute.photo or any(
            self.proof.group(member) != opener for member in self.votes.confirming(dispute.rival)
        )

    def contesting(self, claim: ClaimFact) -> Set[str]:
        """The disputes that contest this claim now."""
        return self._contesting.get(claim.id, _NONE)

    def rival_of(self, claim: ClaimFact) -> DisputeFact | None:
        """The open dispute that proposes the claim; once closed, the claim is a rival no more."""
        dispute = self.disputes.get(claim.rival_in) if claim.rival_in else None
        return dispute if dispute and dispute.is_open else None

    def needs_no_vote(self, claim: ClaimFact) -> bool:
        """The system itself sets the cause of the first-sent variant, of those that are not struck, merged or split."""
        return claim.is_cause and claim.state == BASELINE and claim.variant == self.first_sent

    def counterparts(self, claim: ClaimFact, ignoring: Set[str]) -> list[str]:
        """The claims across a dispute from this one, but for the disputes ignored."""
        return [other for dispute, other in self._opposed.get(claim.id, ()) if dispute not in ignoring]


@dataclass(frozen=True, slots=True)
class Decision:
    """What votes and evidence say of a claim, before any dispute is looked at."""

    word: ClaimWord
    founding: bool
    tally: Tally


def decide_claim(claim: ClaimFact, grounds: Grounds, ignoring: Set[str] = _NONE) -> Decision:
    """Confirmed, refuted or open by votes and evidence. `ignoring`: disputes whose other side is unheard.

    A dispute's rival is refuted only where the votes cast since the dispute was opened refute it.
    """
    tally = _tally(claim, grounds, ignoring)
    word, founding = by_votes(tally, grounds)
    if word == "confirmed" and not (_is_shown(claim, grounds) and _is_proven(claim, grounds)):
        return Decision("open", False, tally)
    if word == "refuted" and (dispute := grounds.rival_of(claim)):
        # Else the votes that had confirmed the claim would end every dispute of it the moment it is opened.
        if by_votes(_tally(claim, grounds, ignoring, since=dispute.seq), grounds)[0] != "refuted":
            return Decision("open", False, tally)
    return Decision(word, founding, tally)


def _tally(claim: ClaimFact, grounds: Grounds, ignoring: Set[str], since: int | None = None) -> Tally:
    voices = voices_on(claim, grounds, ignoring, since)
    return add_up(voices, claim.kind, grounds.policy, grounds.reliabilities)


def voices_on(
    claim: ClaimFact, grounds: Grounds, ignoring: Set[str] = _NONE, since: int | None = None
) -> list[Voice]:
    """The voices heard on a claim, those across a dispute of it among them."""
    if claim.is_cause and claim.state == NOT_KNOWN:
        return []
    return grounds.votes.voices(claim.id, grounds.counterparts(claim, ignoring), since)


def by_votes(tally: Tally, grounds: Grounds) -> tuple[ClaimWord, bool]:
    """What the votes alone would make of the claim, and whether it takes founding mode."""
    policy = grounds.policy
    is_refuted = tally.posterior <= policy.refute_at + _ROUNDING
    if _has_enough_votes(tally, policy):
        if tally.posterior >= policy.confirm_at - _ROUNDING:
            return "confirmed", False
        if is_refuted:
            return "refuted", False
    if grounds.founding and tally.counted >= policy.founding_votes_needed:
        if tally.moderator_confirms and tally.posterior >= policy.founding_confirm_at - _ROUNDING:
            return "confirmed", True
        if tally.moderator_contradicts and is_refuted:
            return "refuted", True
    return "open", False


def claim_standing(claim: ClaimFact, decision: Decision, grounds: Grounds) -> ClaimStanding:
    is_contested = bool(grounds.contesting(claim))
    return ClaimStanding(
        standing="disputed" if is_contested else decision.word,
        posterior=decision.tally.posterior,
        counted=decision.tally.counted,
        examples=len(grounds.proof.examples_of(claim.id)),
        sealed=grounds.proof.has_sealed(claim),
        missing=_missing(claim, decision, grounds) if claim.is_open else (),
        founding=decision.founding and not is_contested,
        owners=decision.tally.owners,
        needs_only_votes=not is_contested and _is_shown(claim, grounds) and _is_proven(claim, grounds),
    )


def dispute_standing(dispute: DisputeFact, rival: Decision, grounds: Grounds) -> DisputeStanding:
    """Due `corrected` when the rival is confirmed, `upheld` when it is refuted or a moderator rules so."""
    if not dispute.is_open:
        return DisputeStanding(contests=False, due=None)
    contests = grounds.contests(dispute)
    if rival.word == "confirmed":
        return DisputeStanding(contests, "corrected")
    is_upheld = rival.word == "refuted" or dispute.ruling == "upheld"
    return DisputeStanding(contests, "upheld" if is_upheld else None)


def _has_enough_votes(tally: Tally, policy: Policy) -> bool:
    return tally.counted >= policy.votes_needed or tally.owners >= policy.own_example_votes_needed


def _is_shown(claim: ClaimFact, grounds: Grounds) -> bool:
    return claim.is_cause or bool(grounds.proof.examples_of(claim.id))


def _is_proven(claim: ClaimFact, grounds: Grounds) -> bool:
    """Sealed proof, or its substitute of loose examples, where the trait can be altered after sale."""
    if claim.is_cause or not claim.alterable or grounds.proof.has_sealed(claim):
        return True
    return grounds.proof.may_substitute(claim) and _loose_short(claim, grounds) == 0


def _loose_short(claim: ClaimFact, grounds: Grounds) -> int:
    return max(0, grounds.policy.loose_substitutes - grounds.proof.loose_owners(claim))


def _missing(claim: ClaimFact, decision: Decision, grounds: Grounds) -> tuple[str, ...]:
    """What keeps an open claim from being confirmed, in words."""
    about = wording.label(claim, is_rival=grounds.rival_of(claim) is not None)
    missing: list[str] = [wording.dispute_to_end(about)] if grounds.contesting(claim) else []
    if decision.word == "refuted" and not grounds.rival_of(claim):
        missing.append(wording.to_be_corrected(claim))
    if decision.word != "open" or grounds.needs_no_vote(claim):
        return tuple(missing)
    if claim.is_cause and claim.state == NOT_KNOWN:
        return (*missing, wording.a_cause())
    missing += missing_votes(about, decision.tally, grounds)
    if not _is_shown(claim, grounds):
        missing.append(wording.a_mark(about))
    if not _is_proven(claim, grounds):
        if grounds.proof.sealed_examples(claim):
            missing.append(wording.the_seal_pictured(about))
        else:
            loose = _loose_short(claim, grounds) if grounds.proof.may_substitute(claim) else 0
            missing.append(wording.a_sealed_example(about, or_loose=loose))
    return tuple(missing)


def missing_votes(about: str, tally: Tally, grounds: Grounds, by_owners: bool = True) -> list[str]:
    """The fewest further votes that would do, all confirming; those by photo, and `by_owners` those by owners."""
    policy = grounds.policy
    photo = Rates(policy.sensitivity_photo, policy.specificity_photo)
    in_hand = Rates(policy.sensitivity_in_hand, policy.specificity_in_hand)
    too_few = 0 if _has_enough_votes(tally, policy) else policy.votes_needed - tally.counted
    needed = max(too_few, tally.confirming_votes_short(policy.confirm_at, photo))
    needs_moderator = False
    if grounds.founding:
        needs_moderator = not tally.moderator_confirms
        founding = max(
            policy.founding_votes_needed - tally.counted,
            tally.confirming_votes_short(policy.founding_confirm_at, photo),
            int(needs_moderator),
        )
        needs_moderator = needs_moderator and founding < needed
        needed = min(founding, needed)
    owners = max(
        policy.own_example_votes_needed - tally.owners,
        tally.confirming_votes_short(policy.confirm_at, in_hand),
    )
    if needed <= 0:
        return []
    return [
        wording.more_votes(
            needed, about, moderator=needs_moderator, owners=owners if by_owners and owners < needed else 0
        )
    ]
