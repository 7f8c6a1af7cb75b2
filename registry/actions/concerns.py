"""Note what a moderator should look into, and close it with what they found. Nothing here punishes anybody."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from allauth.usersessions.models import UserSession
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import transaction

from registry.errors import AlreadyClosed, InvalidField, SecondPersonNeeded, TooMany, WrongMoment
from registry.methods.addresses import keyed_digest, shared_prefix
from registry.methods.lockstep import WINDOW, Group
from registry.models import (
    AddressHint,
    Claim,
    Concern,
    ConcernKind,
    ConcernOutcome,
    JournalEntry,
    Member,
    Photo,
    Role,
    Submission,
    Variant,
)
from registry.queries.concerns import groups_in_step, lockstep_concerns
from registry.sentences import Sentence

from . import wording
from .admission import active, is_for_two, require
from .journalled import journalled

MOST_PAIRS = 50
MOST_TOLD, TOLD_WINDOW = 10, timedelta(days=1)
"""As much may one member tell in so long."""


def note_concern(
    *,
    kind: ConcernKind,
    members: Iterable[Member],
    claim: Claim | None,
    evidence: dict[str, Any],
    about: str,
    at: datetime,
) -> Concern | None:
    """Open a concern, once for each thing it is about: None where it was noted before. In the caller's transaction."""
    fingerprint = hashlib.sha256(about.encode()).hexdigest()
    if Concern.objects.filter(kind=kind, fingerprint=fingerprint).exists():
        return None
    concern = Concern.objects.create(
        kind=kind, claim=claim, fingerprint=fingerprint, evidence=evidence, opened_at=at
    )
    concern.members.set(members)
    JournalEntry.objects.record(
        by=None, verb="concern.opened", about=concern, at=at, detail={"kind": kind.value}
    )
    return concern


@journalled
def tell_moderators(*, about: Photo | Variant | Submission, by: Member, at: datetime, reason: str) -> Concern:
    """Tell them what is wrong with a photograph, a record or an opened draft beyond what votes and disputes are for.

    The words stand in the journal alone, so that erasing an account forgets them.
    Errors: AccountClosed, InvalidField; WrongMoment while they have not closed what was told of it before; TooMany.
    """
    member = active(by)
    reason = wording.line("reason", reason, 300)
    told = Concern.objects.filter(told_by=member)
    of_it = told.filter(evidence__about=about.public_id)
    if of_it.open().exists():
        raise WrongMoment(
            Sentence("You have told the moderators of this already, and they have not closed it yet.")
        )
    if told.filter(opened_at__gt=at - TOLD_WINDOW).count() >= MOST_TOLD:
        raise TooMany(retry_after=int(TOLD_WINDOW.total_seconds()))
    concern = Concern.objects.create(
        kind=ConcernKind.TOLD,
        fingerprint=hashlib.sha256(
            f"{member.public_id} {about.public_id} {of_it.count()}".encode()
        ).hexdigest(),
        evidence={"kind": str(about._meta.model_name), "about": about.public_id},
        told_by=member,
        opened_at=at,
    )
    if isinstance(about, Submission):
        concern.members.add(about.author)
    elif isinstance(about, Photo) and about.owner:
        concern.members.add(about.owner)
    JournalEntry.objects.record(
        by=member, verb="concern.told", about=concern, at=at, detail={"reason": reason}
    )
    return concern


@journalled
def look_for_lockstep(*, at: datetime) -> list[Concern]:
    """Compare the votes of the last 30 days, and note every group in lockstep that was not noted before."""
    known = lockstep_concerns(at)
    opened = []
    for group in groups_in_step(at):
        if any(is_told(group, concern) for concern in known):
            continue
        members = list(Member.objects.filter(pk__in=group.members).order_by("pk"))
        claims = dict(Claim.objects.filter(pk__in=group.targets).values_list("pk", "public_id"))
        concern = note_concern(
            kind=ConcernKind.LOCKSTEP,
            members=members,
            claim=None,
            evidence=evidence_of(group, {member.pk: member.public_id for member in members}, claims),
            about=f"{group.members} {group.targets}",
            at=at,
        )
        opened += [concern] if concern else []
    return opened


def is_told(group: Group, concern: Concern) -> bool:
    """The group is being looked into already, or was, on votes that include these."""
    members = {member.pk for member in concern.members.all()}
    if not members >= set(group.members):
        return False
    return concern.outcome == ConcernOutcome.OPEN or set(concern.evidence["targets"]) >= set(group.targets)


def evidence_of(group: Group, members: dict[int, str], claims: dict[int, str]) -> dict[str, Any]:
    """Public ids and whole numbers: which claims, which pairs, and one in how many honest pairs would do so."""
    telling = sorted(group.pairs, key=lambda pair: pair.chance)[:MOST_PAIRS]
    return {
        "claims": [claims[target] for target in group.targets],
        "targets": list(group.targets),
        "within_seconds": WINDOW,
        "one_address": any(pair.one_address for pair in group.pairs),
        "pairs": [
            {
                "members": [members[pair.first], members[pair.second]],
                "shared": pair.shared,
                "close": pair.close,
                "one_in": min(round(1 / pair.chance), 10**15) if pair.chance else 10**15,
            }
            for pair in telling
        ],
    }


@journalled
def close_concern(*, concern: Concern, outcome: str, reason: str, by: Member, at: datetime) -> Concern:
    """Say what a look into it found; who it is about does so only where no other moderator is.

    Errors: RoleRequired, SecondPersonNeeded, AlreadyClosed, InvalidField.
    """
    moderator = require(by, Role.MODERATOR)
    if concern.members.filter(pk=moderator.pk).exists() and is_for_two(at):
        raise SecondPersonNeeded(Sentence("This is about you: another moderator has to close it."))
    chosen = wording.choice("outcome", outcome, ConcernOutcome)
    if chosen not in concern.may_end:
        raise InvalidField("outcome", outcome, Sentence("Say what you found."))
    reason = wording.line("reason", reason, 300)
    done = Concern.objects.open().filter(pk=concern.pk)
    if not done.update(outcome=chosen, reason=reason, closed_by=moderator, closed_at=at):
        raise AlreadyClosed
    concern.refresh_from_db()
    JournalEntry.objects.record(
        by=moderator,
        verb="concern.closed",
        about=concern,
        at=at,
        detail={"outcome": chosen.value, "reason": reason},
    )
    return concern


@transaction.atomic
def note_address(*, member: Member, address: str, at: datetime) -> None:
    """Remember from which address prefix a member voted, by its keyed digest alone. It stays out of the journal."""
    prefix = shared_prefix(address)
    if prefix is None:
        return
    digest = keyed_digest(prefix, settings.SECRET_KEY)
    AddressHint.objects.update_or_create(member=member, digest=digest, defaults={"seen_at": at})


@transaction.atomic
def forget_addresses(*, before: datetime) -> int:
    """Remove the hints not seen since, and what is kept of sessions that have ended. Gives how many hints went."""
    gone, _ = AddressHint.objects.filter(seen_at__lt=before).delete()
    open_now = Session.objects.filter(expire_date__gt=before).values("session_key")
    UserSession.objects.exclude(session_key__in=open_now).delete()
    return gone
