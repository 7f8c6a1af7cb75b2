"""Bring the stored standings of a release's statements of order in line with the facts. Part of settle."""

from __future__ import annotations

from datetime import datetime

from registry.methods.facts import ReleaseFacts
from registry.methods.standing import OrderStanding, decide_statements
from registry.models import Dispute, Outcome, Release, Statement
from registry.queries.facts import current_policy
from registry.queries.fits import reliabilities_of
from registry.queries.statements import order_facts

from .correct import end

COLUMNS = ("standing", "posterior", "votes_counted", "missing", "is_founding")


def settle_statements(release: Release, at: datetime, fit: int) -> list[dict[str, str]]:
    """Decide the standing of every statement, end the disputes that the votes have decided, and keep the result.

    `fit`: number of the fit to decide under, 0 for none.
    Returns what changed, as written to the journal. Called by settle alone, inside its transaction and lock.
    """
    facts = order_facts(release)
    if not facts.statements:
        return []
    policy = current_policy()
    reliabilities = reliabilities_of(ReleaseFacts(votes=facts.votes, fit=fit))
    standing = decide_statements(facts, policy, reliabilities)
    if end_due(standing, at):
        standing = decide_statements(order_facts(release), policy, reliabilities)
    return keep(release, standing)


def end_due(standing: OrderStanding, at: datetime) -> bool:
    """Whether any dispute was due to end."""
    due = {id: dispute.due for id, dispute in standing.disputes.items() if dispute.due}
    rows = Dispute.objects.open().filter(public_id__in=due).select_related("statement").order_by("pk")
    for dispute in rows:
        if due[dispute.public_id] == "corrected":
            end(dispute, Outcome.CORRECTED, at, by=None, reason="The votes refuted the statement.")
        else:
            end(dispute, Outcome.UPHELD, at, by=None, reason="The votes confirmed the statement.")
    return bool(due)


def keep(release: Release, standing: OrderStanding) -> list[dict[str, str]]:
    changed, changes = [], []
    for statement in Statement.objects.filter(release=release).order_by("pk"):
        now = standing.statements[statement.public_id]
        new = (now.standing, now.posterior, now.counted, list(now.missing), now.founding)
        if new == tuple(getattr(statement, column) for column in COLUMNS):
            continue
        if statement.standing != now.standing:
            changes.append(
                {
                    "kind": "statement",
                    "id": statement.public_id,
                    "from": statement.standing,
                    "to": now.standing,
                }
            )
        for column, value in zip(COLUMNS, new, strict=True):
            setattr(statement, column, value)
        changed.append(statement)
    Statement.objects.bulk_update(changed, COLUMNS)
    for dispute in Dispute.objects.open().filter(statement__release=release):
        contests = standing.disputes[dispute.public_id].contests
        if contests != dispute.contests:
            Dispute.objects.filter(pk=dispute.pk).update(contests=contests)
    return changes
