"""Declare that one sells something, so that one's votes on it do not count; and say that one no longer does."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from registry.errors import InvalidField, NotFound, WrongMoment
from registry.models import INTERESTS, Interest, JournalEntry, Member, Release, Vote
from registry.sentences import Sentence

from .admission import active
from .independence import discount
from .journalled import journalled
from .settle import settle_release


@journalled
def declare_interest(*, thing: Any, by: Member, at: datetime) -> Interest:
    """Note that the member sells this maker's, line's, casting's or release's models.

    Their votes there count no longer, those cast before included. Errors: InvalidField, WrongMoment when declared.
    """
    active(by)
    member = Member.objects.select_for_update(no_key=True).get(pk=by.pk)
    target = thing._meta.model_name
    if target not in INTERESTS:
        raise InvalidField("thing", str(thing), Sentence("Name a maker, a line, a casting or a release."))
    thing = getattr(thing, "survivor", thing)
    if Interest.objects.held().filter(member=member, **{target: thing}).exists():
        raise WrongMoment(Sentence("You have said so of %(thing)s already.", thing=thing), field="thing")
    interest = Interest.objects.create(member=member, declared_at=at, **{target: thing})
    votes = Vote.objects.current().filter(
        by=member, counts=True, claim__variant__release__in=releases_of(interest)
    )
    touched = Release.objects.filter(variants__claims__votes__in=votes).distinct().order_by("pk")
    releases = list(touched)
    JournalEntry.objects.record(
        by=member,
        verb="interest.declared",
        about=interest,
        at=at,
        detail={"in": target, "id": thing.public_id, "discounted": discount(votes)},
    )
    for release in releases:
        settle_release(release=release, at=at)
    return interest


def releases_of(interest: Interest) -> Any:
    """The releases that an interest covers."""
    if interest.release_id:
        return Release.objects.filter(pk=interest.release_id)
    if interest.casting_id:
        return Release.objects.filter(casting=interest.casting_id)
    if interest.line_id:
        return Release.objects.filter(line=interest.line_id)
    return Release.objects.filter(line__maker=interest.maker_id)


@journalled
def end_interest(*, interest: Interest, by: Member, at: datetime) -> None:
    """The member no longer sells it. Votes cast from now on count again. Errors: NotFound for another member's."""
    active(by)
    held = Interest.objects.held().filter(pk=interest.pk, member=by)
    if not held.update(ended_at=at):
        raise NotFound
    JournalEntry.objects.record(by=by, verb="interest.ended", about=interest, at=at)
