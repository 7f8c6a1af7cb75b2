"""Who reviews, for which releases they count as eligible, and which accounts belong together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from django.db.models import Q, QuerySet

from registry.models import Member, MemberLink, Release, Role, RoleGrant, Submission, SubmissionStatus


def eligible_reviewers(release: Release) -> int:
    """Reviewers who neither sent a report on the release nor own a photo in one."""
    sent = Submission.objects.filter(release=release, status=SubmissionStatus.SENT)
    authors = Member.objects.filter(submissions__in=sent).values("pk")
    owners = Member.objects.filter(photos__submission__in=sent).values("pk")
    held = reviewers().exclude(member__in=authors).exclude(member__in=owners)
    return held.values("member").distinct().count()


def reviewers() -> QuerySet[RoleGrant]:
    """The roles by which active members review now."""
    return RoleGrant.objects.filter(revoked_at=None, member__is_active=True)


def active_moderators() -> QuerySet[Member]:
    """Members who moderate now."""
    held = RoleGrant.objects.filter(role=Role.MODERATOR, revoked_at=None)
    return Member.objects.filter(is_active=True, pk__in=held.values("member"))


def moderators_since(day: datetime) -> int:
    """How many moderate or did so after that moment, suspended ones among them. Queries: 1."""
    held = Q(revoked_at=None) | Q(revoked_at__gt=day)
    return RoleGrant.objects.filter(held, role=Role.MODERATOR).values("member").distinct().count()


def miscounted_releases(below: int) -> list[Release]:
    """Releases with variants whose stored count of eligible reviewers is wrong, where it or the right one is less
    than `below`: there founding mode may have to begin or end. In order of key. Queries: 4."""
    able = set(reviewers().values_list("member", flat=True))
    contributed: dict[int, set[int]] = defaultdict(set)
    sent = Submission.objects.filter(status=SubmissionStatus.SENT, release__isnull=False)
    for who in ("author", "photos__owner"):
        for release, member in sent.filter(**{f"{who}__in": able}).values_list("release", who):
            contributed[release].add(member)
    listed = Release.objects.filter(variants__isnull=False).distinct().order_by("pk")
    right = {release.pk: len(able - contributed[release.pk]) for release in listed}
    return [
        release
        for release in listed
        if right[release.pk] != release.eligible_reviewers
        and min(right[release.pk], release.eligible_reviewers) < below
    ]


def declared_links(members: Iterable[int | None]) -> frozenset[frozenset[str]]:
    """Declared links that touch any of the members, or anyone linked to them through others."""
    links = links_around({member for member in members if member is not None})
    return frozenset(frozenset((link.first.public_id, link.second.public_id)) for link in links)


def links_around(members: set[int]) -> list[MemberLink]:
    """The links of these members, of those whom they lead to, and so on. Queries: one for each step away."""
    known = set(members)
    while True:
        rows = MemberLink.objects.filter(Q(first__in=known) | Q(second__in=known))
        links = list(rows.select_related("first", "second"))
        found = {member for link in links for member in (link.first_id, link.second_id)}
        if found <= known:
            return links
        known |= found


def linked_to(member: Member) -> set[int]:
    """The member with all who are linked to them, directly or through others."""
    links = links_around({member.pk})
    return {member.pk}.union(*({link.first_id, link.second_id} for link in links))


def releases_of(members: set[int]) -> QuerySet[Release]:
    """Releases on which any of the members voted, or of which they own an example, in order of key."""
    voted = Q(variants__claims__votes__by__in=members)
    return Release.objects.filter(voted | Q(examples__owner__in=members)).distinct().order_by("pk")
