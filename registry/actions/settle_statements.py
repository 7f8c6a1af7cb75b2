"""Bring the stored standings of a release's statements of order in line with the facts. Part of settle."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from registry.methods import reasons
from registry.methods.facts import ReleaseFacts
from registry.methods.policy import Policy
from registry.methods.standing import OrderStanding, decide_statements
from registry.models import Dispute, Outcome, Release, Statement
from registry.queries.fits import reliabilities_of
from registry.queries.statements import order_facts

from .correct import end
from .kept import keep_contests, keep_standings

COLUMNS = ("standing", "posterior", "votes_counted", "missing", "is_founding")


def settle_statements(release: Release, at: datetime, policy: Policy, fit: int) -> list[dict[str, str]]:
    """Decide the standing of every statement, end the disputes that the votes have decided, and keep the result.

    `fit`: number of the fit to decide under, 0 for none.
    Returns what changed, as written to the journal. Called by settle alone, inside its transaction and lock.
    """
    facts = order_facts(release)
    if not facts.statements:
        return []
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
            end(dispute, Outcome.CORRECTED, at, by=None, reason=reasons.VOTES_AGAINST_THE_STATEMENT)
        else:
            end(dispute, Outcome.UPHELD, at, by=None, reason=reasons.VOTES_FOR_THE_STATEMENT)
    return bool(due)


def keep(release: Release, standing: OrderStanding) -> list[dict[str, str]]:
    def decided(statement: Statement) -> tuple[Any, ...]:
        now = standing.statements[statement.public_id]
        return now.standing, now.posterior, now.counted, list(now.missing), now.founding

    rows = Statement.objects.filter(release=release).order_by("pk")
    changes = keep_standings("statement", rows, COLUMNS, decided)
    keep_contests(Dispute.objects.open().filter(statement__release=release), standing.disputes)
    return changes
