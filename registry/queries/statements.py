"""Statements of order: what bears on their standing, and what their pages show."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from typing import cast

from django.db.models import Min, QuerySet

from registry.methods import facts as f
from registry.methods.standing import ObjectionFact, OrderFacts, StatementFact
from registry.models import (
    Availability,
    CodePattern,
    Dispute,
    Line,
    Member,
    Outcome,
    Photo,
    Release,
    Statement,
    StatementStanding,
    Vote,
)

from .reviewers import declared_links, eligible_reviewers

RELATED = (
    "release__line",
    "release__casting",
    "release__merged_into",
    "variant",
    "other",
    "code_pattern",
    "author",
)


def order_facts(release: Release) -> OrderFacts:
    """All that bears on the standings of the release's statements. Queries: 1 where there are none, else 6 and up."""
    statements = list(Statement.objects.filter(release=release).select_related("author").order_by("pk"))
    if not statements:
        return OrderFacts()
    votes = list(
        Vote.objects.current()
        .filter(statement__in=statements)
        .select_related("by", "statement")
        .order_by("pk")
    )
    disputes = list(
        Dispute.objects.filter(statement__in=statements)
        .select_related("statement", "opened_by")
        .order_by("pk")
    )
    pictured = set(Photo.objects.shown().filter(dispute__in=disputes).values_list("dispute", flat=True))
    return OrderFacts(
        statements=tuple(
            StatementFact(said.public_id, said.author.public_id, said.closed_at is None)
            for said in statements
        ),
        votes=tuple(vote_fact(vote) for vote in votes),
        disputes=tuple(objection_fact(dispute, dispute.pk in pictured) for dispute in disputes),
        links=declared_links([vote.by_id for vote in votes] + [dispute.opened_by_id for dispute in disputes]),
        eligible_reviewers=eligible_reviewers(release),
    )


def vote_fact(vote: Vote) -> f.VoteFact:
    assert vote.statement is not None
    return f.VoteFact(
        claim=vote.statement.public_id,
        by=vote.by.public_id,
        verdict=cast(f.Verdict, vote.verdict),
        basis=cast(f.Basis, vote.basis),
        counts=vote.counts,
        moderator=vote.by_moderator,
        seq=2 * vote.pk,
    )


def objection_fact(dispute: Dispute, photo: bool) -> ObjectionFact:
    assert dispute.statement is not None
    ruled = dispute.outcome == Outcome.UPHELD and dispute.closed_by_id is not None
    return ObjectionFact(
        id=dispute.public_id,
        statement=dispute.statement.public_id,
        opened_by=dispute.opened_by.public_id,
        photo=photo,
        is_open=dispute.outcome == Outcome.OPEN,
        ruling="upheld" if ruled else None,
        seq=2 * dispute.after_vote + 1,
    )


def begin_of(release: Release) -> date:
    """The first day on which an item of the release can have been made, as far as is known. Queries: 2.

    The year before the one it is named after (items are made ahead of their year), or earlier where it is known to
    have been announced, sold or packed earlier. Common practice of the trade, no published source.
    """
    told = Availability.objects.filter(release=release).aggregate(first=Min("on"))["first"]
    shipped = release.assortments.aggregate(first=Min("opens_on"))["first"]
    return min(day for day in (date(release.year - 1, 1, 1), told, shipped) if day)


@dataclass
class StatementPage:
    """A statement with its disputes and the reader's own vote.

    `tally`: the votes that count, by verdict; None while they are blind: undecided, and the reader has not voted.
    """

    tally: dict[str, int] | None = None
    disputes: list[Dispute] = field(default_factory=list)
    mine: Vote | None = None


def statement_page(statement: Statement, reader: Member | None) -> StatementPage:
    """Queries: 2."""
    votes = list(Vote.objects.current().filter(statement=statement))
    disputes = Dispute.objects.filter(statement=statement).select_related("opened_by", "closed_by")
    mine = next((vote for vote in votes if reader and vote.by_id == reader.pk), None)
    page = StatementPage(disputes=list(disputes.order_by("-pk")), mine=mine)
    is_open_to_dispute = any(dispute.outcome == Outcome.OPEN for dispute in page.disputes)
    if mine or statement.closed_at or (is_decided(statement) and not is_open_to_dispute):
        page.tally = dict(Counter(vote.verdict for vote in votes if vote.counts))
    return page


def is_decided(statement: Statement) -> bool:
    return statement.standing in (StatementStanding.CONFIRMED, StatementStanding.REFUTED)


def statements_of(release: Release) -> QuerySet[Statement]:
    """What stands of what was said about the release's order, newest last. Queries: 1."""
    said = Statement.objects.filter(release=release, closed_at=None)
    return said.select_related("variant", "other", "code_pattern", "author").order_by("pk")


def code_patterns(line: Line) -> QuerySet[CodePattern]:
    return CodePattern.objects.filter(line=line).select_related("added_by").order_by("name", "pk")
