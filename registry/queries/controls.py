"""Questions with known answers: which to ask whom, and what was said to them.

A claim's answer is known where a dispute of it was decided long ago: the one side is true, the other false. That is
another route than the vote that the question looks like, and costs nobody a picture made for the purpose.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

from django.conf import settings
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from registry.methods import guards
from registry.models import (
    GONE,
    Basis,
    Claim,
    ClaimStanding,
    ControlAnswer,
    Dispute,
    Mark,
    Member,
    Outcome,
    Photo,
    RoleGrant,
    Verdict,
    Vote,
)


class Answer(NamedTuple):
    """One answer to a question whose truth is known, as the fit of reliabilities takes it."""

    claim: str
    member: int
    kind: str
    in_hand: bool
    confirms: bool
    truth: bool


def answers() -> Iterator[Answer]:
    """Every answer that says yes or no, of members who have or had a role, oldest first. Queries: 1.

    Others are not learnt from: many new accounts answering at random would lower what is believed of everybody.
    """
    role = RoleGrant.objects.filter(member=OuterRef("member"))
    rows = ControlAnswer.objects.filter(Exists(role)).exclude(verdict=Verdict.CANNOT_TELL).order_by("pk")
    kind = Coalesce("claim__trait__merged_into__kind", "claim__trait__kind")
    columns = rows.values_list("claim__public_id", "member", kind, "basis", "verdict", "truth")
    for claim, member, kind, basis, verdict, truth in columns.iterator():
        yield Answer(claim, member, kind, basis != Basis.PHOTO, verdict == Verdict.CONFIRMS, truth)


def known(at: datetime) -> QuerySet[Claim]:
    """Claims whose answer a dispute settled long enough ago, and which a photograph shows by a mark."""
    decided = Q(closed_at__lte=at - guards.CONTROL_SETTLED_FOR)
    corrected, upheld = decided & Q(outcome=Outcome.CORRECTED), decided & Q(outcome=Outcome.UPHELD)
    stands = Q(closed_at=None, standing=ClaimStanding.CONFIRMED)
    return (
        Claim.objects.filter(
            Q(disputes__in=_disputes(corrected), closed_at__isnull=False)
            | Q(disputes__in=_disputes(upheld)) & stands
            | Q(rival_in__in=_disputes(corrected)) & stands
            | Q(rival_in__in=_disputes(upheld), closed_at__isnull=False)
        )
        .filter(Exists(Mark.objects.standing().filter(claim=OuterRef("pk"))))
        .exclude(variant__standing__in=GONE)
        .exclude(trait__kind="cause")
        .distinct()
    )


def _disputes(decided: Q) -> QuerySet[Dispute]:
    return Dispute.objects.filter(decided)


def truth_of(claim: Claim) -> bool:
    """Of a known claim: it is true where it still stands, false where it was corrected or its dispute upheld."""
    return claim.closed_at is None


def next_control(member: Member, at: datetime) -> Claim | None:
    """The question with a known answer that is this member's turn now, if it is one's turn. Queries: 1 to 3."""
    votes = Vote.objects.current().filter(by=member, claim__isnull=False).values("pk")
    given = votes.union(ControlAnswer.objects.filter(member=member).values("pk"), all=True).count()
    block = given // guards.CONTROL_EVERY
    if not guards.is_control_turn(given, _lot(f"{member.public_id} {block}")):
        return None
    askable = for_member(member, at).order_by("pk")
    count = askable.count()
    return askable[_lot(f"{member.public_id} {given} which") % count] if count else None


def for_member(member: Member, at: datetime) -> QuerySet[Claim]:
    """Known claims that the member neither brought in, nor voted on, nor was asked before, on either side."""
    voted = Vote.objects.filter(by=member)
    theirs = Photo.objects.filter(owner=member)
    pictured = theirs.filter(submission=OuterRef("submission"))
    rivalled = theirs.filter(submission=OuterRef("predecessor__submission"))
    disputed = theirs.filter(dispute=OuterRef("rival_in"))
    return (
        known(at)
        .exclude(author=member)
        .exclude(predecessor__author=member)
        .filter(~Exists(pictured), ~Exists(rivalled), ~Exists(disputed))
        .filter(~Exists(voted.filter(claim=OuterRef("pk"))))
        .filter(~Exists(voted.filter(claim=OuterRef("predecessor"))))
        .filter(~Exists(voted.filter(claim__predecessor=OuterRef("pk"))))
        .filter(~Exists(ControlAnswer.objects.filter(member=member, claim=OuterRef("pk"))))
        .exclude(disputes__opened_by=member)
    )


def _lot(what: str) -> int:
    """A number that nobody without the site's secret can foresee."""
    digest = hashlib.sha256(f"control {settings.SECRET_KEY} {what}".encode()).digest()
    return int.from_bytes(digest[:8], "big")
