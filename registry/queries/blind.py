"""Votes are blind: who has not voted on an undecided claim is shown neither its tally nor its voters."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import BooleanField, Exists, ExpressionWrapper, OuterRef, Q

from registry.methods.standing.wording import unnumbered
from registry.models import DECIDED, Claim, Dispute, Member, Variant, Vote


def may_see_votes(member: Member | None, claims: Iterable[Claim]) -> set[int]:
    """Keys of the claims whose votes this reader may see: closed ones, decided ones that no open dispute names, and
    those that the member has a vote on now, or on a claim that was merged into them. The same rule for everybody,
    moderators too. Queries: at most 2.

    None is a reader without an account.
    """
    asked = list(claims)
    seen = {claim.pk for claim in asked if claim.closed_at is not None}
    decided = {claim.pk for claim in asked if claim.pk not in seen and claim.standing in DECIDED}
    if decided:
        named = Dispute.objects.open().filter(Q(claim__in=decided) | Q(rival__in=decided))
        pairs = named.values_list("claim", "rival")
        seen |= decided - {pk for pair in pairs for pk in pair if pk is not None}
    hidden = {claim.pk for claim in asked} - seen
    if member is not None and hidden:
        mine: Any = Vote.objects.current().on(hidden).filter(by=member)  # knows `counted_on`
        seen |= set(mine.values_list("counted_on", flat=True))
    return seen


def seen_by(member: Member | None) -> ExpressionWrapper:
    """The same rule for each row of a queryset of claims, to annotate it with. Queries: none of its own."""
    named = Dispute.objects.open().filter(Q(claim=OuterRef("pk")) | Q(rival=OuterRef("pk")))
    seen = Q(closed_at__isnull=False) | Q(Q(standing__in=DECIDED), ~Exists(named))
    if member is not None:
        there = Q(claim=OuterRef("pk")) | Q(claim__merged_into=OuterRef("pk"))
        seen |= Q(Exists(Vote.objects.current().filter(there, by=member)))
    return ExpressionWrapper(seen, output_field=BooleanField())


def missing_of(thing: Claim | Variant) -> list[str]:
    """What still keeps it from standing, as the reader may read it: how many votes a claim lacks tells its tally, so
    that only who may see its votes reads the number. Of a variant nobody does; its claims tell. Queries: none.

    Whether they may is read from `may_see_votes` on the row: see `seen_by`; where it is not there, they may not.
    """
    return missing_as_read(thing.missing, getattr(thing, "may_see_votes", False))


def missing_as_read(sentences: Iterable[str], may_see_votes: bool) -> list[str]:
    return [sentence if may_see_votes else unnumbered(sentence) for sentence in sentences]
