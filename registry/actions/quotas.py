"""How much one account may send in a day: the more others have confirmed of what it reported, the more."""

from __future__ import annotations

from datetime import datetime
from math import ceil
from typing import Any

from django.conf import settings
from django.core.cache import cache

from registry.errors import AccountClosed, TooMany
from registry.methods import guards
from registry.models import (
    Chart,
    Claim,
    ClaimStanding,
    Dispute,
    GlossReading,
    HeldDispute,
    Measurement,
    Member,
    Photo,
    Remark,
    Sighting,
    Statement,
    Submission,
)
from registry.sentences import Sentence

from .admission import active

SENT: dict[guards.Kind, tuple[tuple[type[Any], str, str], ...]] = {
    "drafts": ((Submission, "author", "created_at"),),
    "submissions": ((Submission, "author", "sent_at"),),
    "photos": ((Photo, "owner", "added_at"),),
    "remarks": ((Remark, "by", "at"),),
    "measurements": ((Measurement, "by", "at"), (GlossReading, "by", "at"), (Chart, "by", "at")),
    "sightings": ((Sighting, "by", "added_at"), (Statement, "author", "added_at")),
    "disputes": ((Dispute, "opened_by", "opened_at"), (HeldDispute, "opened_by", "held_at")),
}
"""Which rows are counted, whose they are, and when they were sent."""
CALLED: dict[guards.Kind, Sentence] = {
    "drafts": Sentence("drafts"),
    "submissions": Sentence("submissions"),
    "photos": Sentence("photos"),
    "remarks": Sentence("remarks"),
    "measurements": Sentence("measurements"),
    "sightings": Sentence("sightings"),
    "disputes": Sentence("disputes"),
}
MONTHS = (
    Sentence("January"), Sentence("February"), Sentence("March"), Sentence("April"),
    Sentence("May"), Sentence("June"), Sentence("July"), Sentence("August"),
    Sentence("September"), Sentence("October"), Sentence("November"), Sentence("December"),
)  # fmt: skip
MOST_READ = 1_000
TRIES, TRIES_SECONDS = 120, 3_600
"""So many pictures of one account are decoded in so long."""


def admit(by: Member, kind: guards.Kind, at: datetime) -> Member:
    """The active member, who may send one more of this kind now. Inside the transaction that sends it.

    The member's row is locked, so that two requests at once cannot both be the last one allowed.
    Errors: AccountClosed; TooMany, saying when one more may be sent.
    """
    member = Member.objects.select_for_update(no_key=True).filter(pk=by.pk, is_active=True).first()
    if member is None:
        raise AccountClosed
    refuse_too_many(member, kind, at)
    return member


def look_ahead(by: Member, kind: guards.Kind, at: datetime) -> Member:
    """The same without a lock: spares costly work that would be refused in the end."""
    member = active(by)
    refuse_too_many(member, kind, at)
    return member


def count_try(by: Member) -> None:
    """One more picture to decode, whether or not it is taken in the end. Errors: TooMany.

    Counted in the cache: fair rather than exact where several processes keep one each.
    """
    key, most = f"pictures-tried:{by.pk}", TRIES * settings.CASTLORE_QUOTA_FACTOR
    cache.add(key, 0, TRIES_SECONDS)
    if cache.incr(key) > most:
        raise TooMany(
            Sentence(
                "Your account may send %(most)s pictures in an hour, those that are refused too. Go "
                "on in an hour.",
                most=most,
            ),
            retry_after=TRIES_SECONDS,
            quota=most,
        )


def refuse_too_many(member: Member, kind: guards.Kind, at: datetime) -> None:
    factor = settings.CASTLORE_QUOTA_FACTOR
    sent = sent_lately(member, kind, at)
    if len(sent) < (guards.quota(kind, "new", factor) or 0):
        return  # within what anybody may send: nothing more need be known of the account
    most = guards.quota(kind, standing_of(member), factor)
    free_at = guards.free_again_at(sent, most) if most is not None else None
    if free_at is None:
        return
    raise TooMany(
        Sentence(
            "Your account may send %(most)s %(kind)s in 24 hours. You can go on at %(time)s UTC on "
            "%(day)s %(month)s. Accounts whose reports others have confirmed may send more.",
            most=most,
            kind=CALLED[kind],
            time=f"{free_at:%H:%M}",
            day=free_at.day,
            month=MONTHS[free_at.month - 1],
        ),
        retry_after=max(1, ceil((free_at - at).total_seconds())),
        quota=most,
    )


def refuse_more_than_left(member: Member, kind: guards.Kind, at: datetime, wanted: int) -> None:
    """For many sent at once. Errors: TooMany, saying how many may still be sent."""
    most = guards.quota(kind, standing_of(member), settings.CASTLORE_QUOTA_FACTOR)
    if most is None:
        return
    sent = sent_lately(member, kind, at)
    left = max(0, most - len(sent))
    if wanted <= left:
        return
    raise TooMany(
        Sentence(
            "These are %(wanted)s new %(kind)s. Your account may send %(most)s in 24 hours, and "
            "%(left)s more of them now. Accounts whose reports others have confirmed may send "
            "more.",
            wanted=wanted,
            kind=CALLED[kind],
            most=most,
            left=left,
        ),
        retry_after=ceil(guards.QUOTA_WINDOW.total_seconds()),
        quota=most,
    )


def sent_lately(member: Member, kind: guards.Kind, at: datetime) -> list[datetime]:
    """When the member sent such things in the last 24 hours, newest first."""
    times: list[datetime] = []
    for model, owner, when in SENT[kind]:
        rows = model._default_manager.filter(
            **{owner: member, f"{when}__gt": at - guards.QUOTA_WINDOW, f"{when}__lte": at}
        )
        times += rows.order_by(f"-{when}").values_list(when, flat=True)[:MOST_READ]
    return sorted(times, reverse=True)


def standing_of(member: Member) -> guards.Account:
    confirmed = Claim.objects.filter(author=member, standing=ClaimStanding.CONFIRMED)
    return guards.standing_of(member.roles, bool(member.roles) or confirmed.exists())
