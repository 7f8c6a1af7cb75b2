"""What happened in what a member follows, and what happened in one casting, assortment or line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from registry.models import Assortment, Casting, FeedEvent, Line, Member, Release, Watch

MOST = 100
IN_A_FEED = 50
SUBJECTS: dict[str, type[Casting] | type[Assortment] | type[Line]] = {
    "casting": Casting,
    "assortment": Assortment,
    "line": Line,
}


@dataclass(frozen=True)
class News:
    """Events in order of their happening. `up_to`: the newest of them; `more`: there are others, left out."""

    events: list[FeedEvent]
    up_to: int
    more: bool


def watches_of(member: Member) -> list[Watch]:
    """What a member follows, by name. Queries: 1."""
    rows = member.watches.select_related("casting__maker", "assortment__line", "line__maker")
    return sorted(rows, key=lambda watch: (watch.kind, str(watch).casefold(), watch.pk))


def watch_on(member: Member, kind: str, thing: int) -> Watch | None:
    """The member's watch on one thing. Queries: 1."""
    return Watch.objects.of(kind, thing).filter(member=member).first()


def news(watches: Sequence[Watch], since: str = "seen_up_to") -> News | None:
    """What happened in all that is followed since the mark that each watch keeps; None: nothing. Queries: 1.

    An event that two watches cover is told once.
    """
    if not watches:
        return None
    wanted = Q(pk__in=[])
    for watch in watches:
        wanted |= Q(pk__gt=getattr(watch, since)) & within(watch)
    rows = with_names(FeedEvent.objects.filter(wanted).order_by("-pk"))[: MOST + 1]
    events = list(rows)
    if not events:
        return None
    return News(events=events[:MOST][::-1], up_to=events[0].pk, more=len(events) > MOST)


def within(watch: Watch) -> Q:
    if watch.line_id:
        return Q(line=watch.line_id)
    inside = Q(casting=watch.casting_id) if watch.casting_id else Q(assortments=watch.assortment_id)
    return Q(release__in=Release.objects.filter(inside).values("pk"))


def news_for_mail(member: Member, watches: Sequence[Watch]) -> News | None:
    """What the next message to the member would tell; None where nothing happened or nobody may be written to."""
    return news(watches, since="mailed_up_to") if member.is_active else None


def events_of(kind: str, thing: int) -> list[FeedEvent]:
    """The newest events of one casting, assortment or line, newest first. Queries: 1."""
    return list(with_names(FeedEvent.objects.within(kind, thing).order_by("-pk"))[:IN_A_FEED])


def newest_events() -> list[FeedEvent]:
    """The newest events of everything, newest first. Queries: 1."""
    return list(with_names(FeedEvent.objects.order_by("-pk"))[:IN_A_FEED])


def members_to_mail() -> QuerySet[Member]:
    """Active members who asked for messages, in order of key."""
    asked = Watch.objects.filter(by_mail=True).values("member")
    return Member.objects.filter(is_active=True, pk__in=asked).order_by("pk")


def with_names(events: QuerySet[FeedEvent]) -> QuerySet[FeedEvent]:
    return events.select_related("release__line", "variant")
