"""Keep what was decided anew: only the rows that read otherwise are written, and what changed is told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django.db.models import QuerySet

from registry.methods.standing import DisputeStanding
from registry.models import Dispute


def keep_standings(
    kind: str, rows: QuerySet[Any], columns: Sequence[str], decided: Callable[[Any], tuple[Any, ...]]
) -> list[dict[str, str]]:
    """Write the columns of each row that has them otherwise, the first of which is `standing`.

    Answers the standings that moved, as the journal tells them: {kind, id, from, to}.
    """
    changed, changes = [], []
    for row in rows:
        new = decided(row)
        if new == tuple(getattr(row, column) for column in columns):
            continue
        if row.standing != new[0]:
            changes.append({"kind": kind, "id": row.public_id, "from": row.standing, "to": new[0]})
        for column, value in zip(columns, new, strict=True):
            setattr(row, column, value)
        changed.append(row)
    rows.model._default_manager.bulk_update(changed, columns)
    return changes


def keep_contests(open_disputes: Iterable[Dispute], standings: Mapping[str, DisputeStanding]) -> None:
    for dispute in open_disputes:
        contests = standings[dispute.public_id].contests
        if contests != dispute.contests:
            Dispute.objects.filter(pk=dispute.pk).update(contests=contests)
