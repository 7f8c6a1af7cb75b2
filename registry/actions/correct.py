"""How a dispute ends: the rival takes the claim's place in a new revision, or the claim is upheld."""

from __future__ import annotations

from datetime import datetime

from registry.methods import reasons
from registry.models import Claim, Dispute, JournalEntry, Member, Outcome

from .revise import revise


def correct(*, dispute: Dispute, at: datetime) -> None:
    """The rival has met every condition: it becomes the claim, its predecessor closes, a new revision says so.

    Unchanged claims keep their rows and votes. Called by settle alone, inside its transaction.
    """
    claim, rival = Claim.objects.get(disputes=dispute), Claim.objects.get(rival_in=dispute)
    variant = claim.variant
    claim.closed_at = at
    claim.save(update_fields=["closed_at"])
    rival.is_rival = False
    rival.since_revision = variant.revision_number + 1
    rival.save(update_fields=["is_rival", "since_revision"])
    end(dispute, Outcome.CORRECTED, at, by=None, reason=reasons.VOTES_FOR_THE_RIVAL)
    revise(
        variant=variant,
        author=dispute.opened_by,
        reason=reasons.CORRECTED.filled(trait=claim.trait, before=claim.state, after=rival.state),
        at=at,
    )


def close_as_upheld(*, dispute: Dispute, at: datetime, by: Member | None = None, reason: str = "") -> None:
    """The claim stays. Closed by the votes, or by a moderator who gives a reason."""
    Claim.objects.filter(rival_in=dispute).update(closed_at=at)
    end(dispute, Outcome.UPHELD, at, by=by, reason=reason or reasons.VOTES_AGAINST_THE_RIVAL)


def end(dispute: Dispute, outcome: Outcome, at: datetime, by: Member | None, reason: str) -> None:
    dispute.outcome, dispute.closed_at, dispute.closed_by = outcome, at, by
    dispute.closing_reason = str(reason)
    dispute.contests = False
    dispute.save(update_fields=["outcome", "closed_at", "closed_by", "closing_reason", "contests"])
    decided = {"reason": dispute.closing_reason} if by and outcome == Outcome.UPHELD else {}
    JournalEntry.objects.record(
        by=by,
        verb="dispute.closed",
        about=dispute,
        at=at,
        detail={"id": dispute.public_id, "outcome": outcome, **of_statement(dispute), **decided},
    )


def of_statement(dispute: Dispute) -> dict[str, str]:
    """Where a dispute is of a statement of order, its journal lines say so: no standing rests on it."""
    return {"statement": dispute.statement.public_id} if dispute.statement else {}
