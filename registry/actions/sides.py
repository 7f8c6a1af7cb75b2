"""Answer a dispute: which of its two sides is so, in one step."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db.models import TextChoices

from registry.errors import InvalidField
from registry.models import Dispute, Example, Member, Verdict, Vote
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled
from .settle import locked
from .vote import considered, kept_together


class Side(TextChoices):
    CLAIM = "claim"
    RIVAL = "rival"
    NEITHER = "neither"
    CANNOT_TELL = "cannot_tell"


VERDICTS: Mapping[Side, Mapping[str, Verdict]] = {
    Side.CLAIM: {"claim": Verdict.CONFIRMS},
    Side.RIVAL: {"rival": Verdict.CONFIRMS},
    Side.NEITHER: {"claim": Verdict.CONTRADICTS, "rival": Verdict.CONTRADICTS},
    Side.CANNOT_TELL: {"claim": Verdict.CANNOT_TELL, "rival": Verdict.CANNOT_TELL},
}
"""A confirming vote on either side counts against the other; only the last two need a vote on both."""


@journalled
def vote_on_sides(
    *,
    dispute: Dispute,
    side: str,
    by: Member,
    at: datetime,
    basis: str,
    example: Example | None = None,
    note: str = "",
) -> list[Vote]:
    """One answer as a vote on one side or on both; the release is settled once, after both.

    Errors: those of cast_vote, for either side; then no vote is kept. InvalidField where the dispute is of an order.
    """
    member = active(by)
    if dispute.claim is None or dispute.rival is None:
        raise InvalidField("dispute", dispute.public_id, Sentence("Vote on the statement itself."))
    release = locked(dispute.claim.variant.release)
    sides = {"claim": dispute.claim, "rival": dispute.rival}
    votes = [
        considered(
            claim=sides[which], member=member, at=at, verdict=verdict, basis=basis, example=example, note=note
        )[0]
        for which, verdict in VERDICTS[wording.choice("side", side, Side)].items()
    ]
    return kept_together(votes, release, at)
