"""The one place that decides standing: a pure function of what is known about a release and of a policy.

Read on in `claims` (votes and evidence make a claim), `variants` (claims and examples make a variant),
`tally` (what votes weigh), `proof` (what photos show) and `statements` (the same votes, on statements of order).
"""

from registry.methods.facts import ReleaseFacts
from registry.methods.policy import EQUAL, Policy, Reliabilities

from .claims import Grounds, claim_standing, decide_claim, dispute_standing
from .outcomes import ClaimStanding, DisputeStanding, ReleaseStanding, VariantStanding
from .statements import ObjectionFact, OrderFacts, OrderStanding, StatementFact, decide_statements
from .variants import variant_standings

__all__ = [
    "ClaimStanding",
    "DisputeStanding",
    "ObjectionFact",
    "OrderFacts",
    "OrderStanding",
    "ReleaseStanding",
    "StatementFact",
    "VariantStanding",
    "decide",
    "decide_statements",
]


def decide(facts: ReleaseFacts, policy: Policy, reliabilities: Reliabilities = EQUAL) -> ReleaseStanding:
    """The standing of every claim, variant and dispute of a release, with what is still missing in words.

    Shapes: answers are keyed by id; every claim, variant and dispute among the facts has one.
    Errors: ValueError where a dispute names a claim that is not among the facts, or a rate is no probability.
    Cost:   linear in votes, marks and claims; ten variants of ten claims with ten votes each take a few ms.

    The order of the facts never matters, and the same facts give the same answer to the last bit.
    """
    grounds = Grounds(facts, policy, reliabilities)
    for dispute in facts.disputes:
        if dispute.claim not in grounds.claims or dispute.rival not in grounds.claims:
            raise ValueError(f"dispute {dispute.id} names a claim that is not among the facts")
    for claim in facts.claims:
        if claim.rival_in and claim.rival_in not in grounds.disputes:
            raise ValueError(f"claim {claim.id} is the rival in dispute {claim.rival_in}, which is not known")
    decisions = {claim.id: decide_claim(claim, grounds) for claim in facts.claims}
    claims = {claim.id: claim_standing(claim, decisions[claim.id], grounds) for claim in facts.claims}
    return ReleaseStanding(
        claims=claims,
        variants=variant_standings(grounds, claims),
        disputes={d.id: dispute_standing(d, decisions[d.rival], grounds) for d in facts.disputes},
        founding=grounds.founding,
    )
