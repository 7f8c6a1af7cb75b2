"""Which undecided claim a vote is expected to settle soonest: the order of the review desk.

The rule is our own, no published source: of all that waits, offer first what settles most claims for each vote spent.
A claim that still lacks `n` agreeing votes settles with the chance that the next `n` all agree, and takes `n` votes;
its worth is that chance over `n`. Bayes' rule gives the chance from the posterior and the voters' rates.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from math import ceil

from registry.sentences import Sentence

from .policy import Policy, Rates
from .standing.tally import log_odds, weight

SCALE = 1000
VERIFIES = 2.0
"""How much more a claim is worth whose settling verifies its variant: two things get settled by it."""
AGAIN = 10_000
"""Added to the urgency of a claim that only founding mode had decided: such claims are looked at again first."""
SPREAD = 0.25
"""By how much of its worth an offer may fall for one reviewer and not for another, so that not all look at one."""
FEW_NEEDED = Sentence("This is next because few votes are still needed here.")
"""What is said where nothing more particular can be; of a question with a known answer as well."""
_ROUNDING = 1e-9
_NEVER = 1e-15


@dataclass(frozen=True, slots=True)
class Waiting:
    """What the order needs to know of an undecided claim.

    `counted`: votes heard; `owners`: those of them by owners of a photographed example. `needs_only_votes`: evidence
    is whole and no dispute contests it, so that votes can confirm it; to refute it votes always do.
    `verifies`: its variant lacks nothing else to be verified.
    """

    posterior: float
    counted: int = 0
    owners: int = 0
    needs_only_votes: bool = True
    verifies: bool = False
    again: bool = False


def verifies(claim_missing: Iterable[str], variant_missing: Iterable[str]) -> bool:
    """Whether the variant lacks something to be verified, and nothing but what the claim lacks."""
    lacks = set(variant_missing)
    return bool(lacks) and lacks <= set(claim_missing)


def urgency(waiting: Waiting, policy: Policy) -> int:
    """How early the claim comes for anybody, 0 upwards: its worth with votes by photo, in thousandths.

    >>> from .policy import FIRST_POLICY
    >>> urgency(Waiting(posterior=16 / 17, counted=2), FIRST_POLICY)
    765
    """
    worth = settled_per_vote(waiting, Rates(policy.sensitivity_photo, policy.specificity_photo), policy)
    return round(SCALE * worth * (VERIFIES if waiting.verifies else 1.0)) + (AGAIN if waiting.again else 0)


def settled_per_vote(waiting: Waiting, rates: Rates, policy: Policy, owns: bool = False) -> float:
    """Claims settled for each vote of these rates: between 0 and 1. `owns`: with an own photographed example.

    Errors: ValueError where the rates tell nothing: sensitivity and specificity that add up to 1 or less.
    """
    yes = votes_short(waiting, True, rates, policy, owns) if waiting.needs_only_votes else None
    no = votes_short(waiting, False, rates, policy, owns)
    chance_yes = chance_that_all(True, yes, waiting.posterior, rates) if yes else 0.0
    chance_no = chance_that_all(False, no, waiting.posterior, rates)
    if yes == no == 1:
        return chance_yes + chance_no
    return max(chance_yes / yes if yes else 0.0, chance_no / no)


def settles_now(waiting: Waiting, rates: Rates, policy: Policy, owns: bool = False) -> float:
    """The chance that one vote of these rates settles the claim."""
    found = 0.0
    for confirms in (True, False):
        if confirms and not waiting.needs_only_votes:
            continue
        if votes_short(waiting, confirms, rates, policy, owns) == 1:
            found += chance_that_all(confirms, 1, waiting.posterior, rates)
    return found


def votes_short(waiting: Waiting, confirms: bool, rates: Rates, policy: Policy, owns: bool = False) -> int:
    """How many further votes, all saying the same, settle the claim; at least 1."""
    if rates.sensitivity + rates.specificity <= 1:
        raise ValueError(f"votes of these rates tell nothing: {tuple(rates)}")
    if confirms:
        gap = log_odds(policy.confirm_at) - firmness(waiting.posterior)
    else:
        gap = firmness(waiting.posterior) - log_odds(policy.refute_at)
    few = policy.votes_needed - waiting.counted
    if owns:
        few = min(few, policy.own_example_votes_needed - waiting.owners)
    elif waiting.owners >= policy.own_example_votes_needed:
        few = 0
    return max(1, few, ceil(gap / abs(weight(confirms, rates)) - _ROUNDING))


def chance_that_all(confirms: bool, votes: int, posterior: float, rates: Rates) -> float:
    """The chance that so many votes all confirm, or all contradict, for all that is known now. Bayes' rule."""
    if_true, if_false = rates.sensitivity, 1 - rates.specificity
    if not confirms:
        if_true, if_false = 1 - if_true, 1 - if_false
    return posterior * if_true**votes + (1 - posterior) * if_false**votes


@dataclass(frozen=True, slots=True)
class Candidate:
    """A claim for one reviewer: `age` counts from the oldest, 0; `owns`: they own a photographed example."""

    id: str
    age: int
    waiting: Waiting
    owns: bool = False
    rates: Rates | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A claim offered, and in one sentence why it comes here."""

    id: str
    worth: float
    because: str


def offered(candidates: Iterable[Candidate], reviewer: str, policy: Policy) -> list[Offer]:
    """The candidates for this reviewer, best first; ties by age. The same for the same reviewer every time.

    Reviewers see like claims in different orders, by a hash of reviewer and claim, so that votes spread out.
    """
    rated = []
    for candidate in candidates:
        rates = candidate.rates or (
            Rates(policy.sensitivity_in_hand, policy.specificity_in_hand)
            if candidate.owns
            else Rates(policy.sensitivity_photo, policy.specificity_photo)
        )
        waiting, informs = candidate.waiting, sum(rates) > 1
        worth = settled_per_vote(waiting, rates, policy, candidate.owns) if informs else 0.0
        worth *= VERIFIES if waiting.verifies else 1.0
        worth *= 1 - SPREAD * share(reviewer, candidate.id)
        now = settles_now(waiting, rates, policy, candidate.owns) if informs else 0.0
        offer = Offer(candidate.id, worth, because(waiting, now, candidate.owns))
        rated.append((not waiting.again, -round(worth, 6), candidate.age, offer))
    return [offer for *_, offer in sorted(rated, key=lambda one: one[:3])]


def because(waiting: Waiting, chance: float, owns: bool) -> str:
    """Why a claim is offered, in one sentence to its reviewer."""
    if waiting.again:
        return Sentence("This is next because only the founding rules had decided it: it is looked at again.")
    if chance >= 0.5 and waiting.verifies:
        if owns:
            return Sentence(
                "This is next because your vote may well settle it, as you own one, "
                "and the variant then lacks nothing more."
            )
        return Sentence(
            "This is next because your vote may well settle it, and the variant then lacks nothing more."
        )
    if chance >= 0.5:
        if owns:
            return Sentence("This is next because your vote may well settle it, as you own one.")
        return Sentence("This is next because your vote may well settle it.")
    if not waiting.needs_only_votes:
        return Sentence(
            "This is next because your vote brings it nearer to an answer, though it also waits for evidence."
        )
    if owns:
        return Sentence("This is next because few votes are still needed here, as you own one.")
    return FEW_NEEDED


def share(reviewer: str, claim: str) -> float:
    """A number from 0 to 1 that is the same for the same pair and evenly spread over pairs."""
    return int.from_bytes(sha256(f"{reviewer}/{claim}".encode()).digest()[:4]) / 0xFFFFFFFF


def firmness(posterior: float) -> float:
    """Log-odds of a stored posterior; one that hundreds of votes rounded to 0 or 1 is taken for as good as that."""
    return log_odds(min(max(posterior, _NEVER), 1 - _NEVER))
