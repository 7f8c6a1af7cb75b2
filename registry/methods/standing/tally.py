"""What the votes on one claim weigh together.

Each reviewer has one voice on a claim, and so has each group of members who declared themselves linked. The
posterior is Bayes' rule for independent voices, kept in log-odds and summed exactly, so that the order of
votes cannot change a bit of it.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil, exp, fsum, log

from registry.methods.facts import IN_HAND, ClaimFact, VoteFact
from registry.methods.policy import Policy, Rates, Reliabilities

from .proof import Proof


@dataclass(frozen=True, slots=True)
class Voice:
    """What one reviewer, or several linked ones who agree, say on a claim."""

    by: str
    confirms: bool
    in_hand: bool
    moderator: bool
    shows_own: bool  # names an own example that a photo shows


@dataclass(frozen=True, slots=True)
class Tally:
    """The voices on a claim, added up."""

    log_odds: float
    counted: int
    owners: int  # voices that name an own photographed example
    moderator_confirms: bool
    moderator_contradicts: bool

    @property
    def posterior(self) -> float:
        """Probability that the claim is true, 0 to 1."""
        return probability(self.log_odds)

    def confirming_votes_short(self, posterior: float, rates: Rates) -> int:
        """How many more confirming votes of these rates it takes to reach the posterior."""
        gap = log_odds(posterior) - self.log_odds
        return max(0, ceil(gap / weight(True, rates) - 1e-9))


def log_odds(probability: float) -> float:
    return log(probability / (1 - probability))


def probability(odds: float) -> float:
    """From log-odds. Source: the logistic function, written so that neither end overflows."""
    share = exp(-abs(odds))
    return 1 / (1 + share) if odds >= 0 else share / (1 + share)


def weight(confirms: bool, rates: Rates) -> float:
    """What one vote adds to the log-odds. Errors: ValueError where a rate is not between 0 and 1.

    Source: Bayes' rule for two outcomes; the model of Dawid and Skene 1979 with known rates.
    """
    if not (0 < rates.sensitivity < 1 and 0 < rates.specificity < 1):
        raise ValueError(f"sensitivity and specificity must lie between 0 and 1, got {tuple(rates)}")
    if confirms:
        return log(rates.sensitivity / (1 - rates.specificity))
    return log((1 - rates.sensitivity) / rates.specificity)


def weight_of(voice: Voice, kind: str, policy: Policy, reliabilities: Reliabilities) -> float:
    """What the voice adds to the log-odds, by the rates of whom it is."""
    return weight(voice.confirms, reliabilities.rates(voice.by, kind, voice.in_hand, policy))


def add_up(voices: Iterable[Voice], kind: str, policy: Policy, reliabilities: Reliabilities) -> Tally:
    heard = tuple(voices)
    weights = [weight_of(voice, kind, policy, reliabilities) for voice in heard]
    return Tally(
        log_odds=fsum([log_odds(policy.prior), *weights]),
        counted=len(heard),
        owners=sum(voice.shows_own for voice in heard),
        moderator_confirms=any(voice.moderator and voice.confirms for voice in heard),
        moderator_contradicts=any(voice.moderator and not voice.confirms for voice in heard),
    )


class Votes:
    """The votes that count in a release, by claim: cast as a reviewer, not barred, and not `cannot_tell`.

    A `cannot_tell` is set aside before anything else: it neither weighs nor replaces what its voter said on a
    rival. A barred member is heard only with an own example named.
    """

    def __init__(self, votes: Iterable[VoteFact], claims: Mapping[str, ClaimFact], proof: Proof) -> None:
        self._claims = claims
        self._proof = proof
        self._on: dict[str, list[VoteFact]] = defaultdict(list)
        for vote in votes:
            if vote.counts and vote.verdict != "cannot_tell" and self._may_vote(vote, vote.claim):
                self._on[vote.claim].append(vote)

    def confirming(self, claim: str) -> frozenset[str]:
        """Reviewers who now confirm this very claim."""
        return frozenset(vote.by for vote in self._on.get(claim, ()) if vote.verdict == "confirms")

    def voices(self, claim: str, counterparts: Iterable[str], since: int | None = None) -> list[Voice]:
        """One voice per reviewer or linked group on the claim; `since`: only of votes cast after that.

        A `confirms` on a counterpart (the claim's rival, or the claim that it rivals) is heard as
        `contradicts`, unless that reviewer voted later on the claim itself.
        """
        heard: dict[str, tuple[int, bool, VoteFact]] = {}
        for vote in self._on.get(claim, ()):
            heard[vote.by] = (vote.seq, vote.verdict == "confirms", vote)
        for counterpart in sorted(counterparts):
            for vote in self._on.get(counterpart, ()):
                if vote.verdict == "confirms" and self._may_vote(vote, claim):
                    if vote.by not in heard or heard[vote.by][0] < vote.seq:
                        heard[vote.by] = (vote.seq, False, vote)
        groups: dict[str, list[Voice]] = defaultdict(list)
        for by in sorted(heard):
            seq, confirms, vote = heard[by]
            if since is not None and seq <= since:
                continue
            groups[self._proof.group(by)].append(self._voice(confirms, vote))
        return [voice for group in groups.values() for voice in _in_unison(group)]

    def _voice(self, confirms: bool, vote: VoteFact) -> Voice:
        return Voice(
            by=vote.by,
            confirms=confirms,
            in_hand=vote.basis in IN_HAND,
            moderator=vote.moderator,
            shows_own=self._proof.is_own_photographed(vote.example, vote.by),
        )

    def _may_vote(self, vote: VoteFact, claim: str) -> bool:
        known = self._claims.get(claim)
        return known is not None and (
            vote.by not in known.barred or self._proof.is_own(vote.example, vote.by)
        )


def _in_unison(voices: list[Voice]) -> list[Voice]:
    """Linked members count once: with their best basis where they agree, not at all where they do not.

    Neither who voted first nor who voted last decides, so that the order of votes never matters.
    """
    if len(voices) == 1:
        return voices
    if len({voice.confirms for voice in voices}) > 1:
        return []
    spokesman = min(voices, key=lambda voice: (not voice.in_hand, voice.by))
    return [
        Voice(
            by=spokesman.by,
            confirms=spokesman.confirms,
            in_hand=spokesman.in_hand,
            moderator=any(voice.moderator for voice in voices),
            shows_own=any(voice.shows_own for voice in voices),
        )
    ]
