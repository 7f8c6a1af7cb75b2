"""Whether a vote may be cast and whether it counts: declared links, declared interests, and rushes of votes."""

from __future__ import annotations

from datetime import datetime

from django.db import models

from registry.errors import ConflictDeclared
from registry.methods import guards
from registry.models import Claim, ConcernKind, Interest, JournalEntry, Member, Release, SurgeLock, Vote
from registry.queries.reviewers import linked_to

from .concerns import note_concern


def may_count(member: Member, claim: Claim | None, release: Release, at: datetime) -> bool:
    """Only a reviewer's vote counts, without an interest in the release, and not from an account born in a rush."""
    if not member.roles or Interest.objects.held().filter(member=member).touching(release).exists():
        return False
    if claim is None:
        return True
    locks = SurgeLock.objects.on(at).filter(claim__in=both_sides(claim))
    return all(guards.is_outside_surge(member.joined_at, lock.began_at) for lock in locks)


def refuse_linked(member: Member, claim: Claim) -> None:
    """Errors: ConflictDeclared where an account linked to the voter's has a counted vote there already.

    Who voted before the link was declared may still change their mind: the two then count once.
    """
    others = linked_to(member) - {member.pk}
    if not others:
        return
    there = Vote.objects.current().filter(claim__in=both_sides(claim))
    if there.filter(by__in=others, counts=True).exists() and not there.filter(by=member).exists():
        raise ConflictDeclared


def both_sides(claim: Claim) -> list[int]:
    """The claim with the rival that a dispute opened, or with the claim that it rivals: one question."""
    if claim.is_rival and claim.predecessor_id:
        return [claim.pk, claim.predecessor_id]
    rivals = Claim.objects.filter(predecessor=claim, is_rival=True, closed_at=None)
    return [claim.pk, *rivals.values_list("pk", flat=True)]


def watch_for_surge(claim: Claim, at: datetime) -> None:
    """Lock the claim where votes rush in on it, and tell the moderators. Votes are kept, none is refused.

    The votes of accounts younger than the rush that counted so far count there no longer.
    """
    sides = both_sides(claim)
    votes = Vote.objects.current().filter(claim__in=sides, at__gt=at - guards.SURGE_WINDOW)
    surge = guards.surge(list(votes.values_list("at", flat=True)), at)
    if surge is None or SurgeLock.objects.on(at).filter(claim__in=sides).exists():
        return
    SurgeLock.objects.create(claim=claim, began_at=surge.began_at, locked_until=at + guards.SURGE_LOCK)
    young = votes.filter(counts=True, by__joined_at__gte=surge.began_at)
    JournalEntry.objects.record(
        by=None,
        verb="surge.locked",
        about=claim,
        at=at,
        detail={"began_at": surge.began_at.isoformat(), "discounted": discount(young)},
    )
    rushing = Member.objects.filter(votes__in=votes).distinct()
    note_concern(
        kind=ConcernKind.SURGE,
        members=rushing,
        claim=claim,
        evidence={"claims": [claim.public_id], "votes": votes.count()},
        about=f"{claim.public_id} {surge.began_at.isoformat()}",
        at=at,
    )


def discount(votes: models.QuerySet[Vote]) -> list[list[str]]:
    """Let these votes count no longer. Gives [claim, member] of each, as the journal keeps them."""
    found = sorted(votes.values_list("pk", "claim__public_id", "by__public_id"))
    Vote.objects.filter(pk__in=[pk for pk, _, _ in found]).update(counts=False)
    return [[claim, by] for _, claim, by in found]
