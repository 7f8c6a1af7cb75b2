"""Who reviews, for which releases they count as eligible, and which accounts belong together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.expressions import RawSQL
from django.db.models.functions import Coalesce

from registry.models import Member, MemberLink, Release, Role, RoleGrant, Submission, SubmissionStatus

NEAR = """
WITH RECURSIVE near(id) AS (
    SELECT id FROM registry_member WHERE id IN (%s)
    UNION
    SELECT CASE WHEN link.first_id = near.id THEN link.second_id ELSE link.first_id END
    FROM near JOIN registry_memberlink link ON near.id IN (link.first_id, link.second_id)
) SELECT id FROM near
"""
"""The members named and all whom declared links lead to from them (SQL:1999, section 7.12, recursive query)."""


def eligible_reviewers(release: Release) -> int:
    """Reviewers who neither sent a report on the release nor own a photo in one."""
    return eligible(release).values("member").distinct().count()


def eligible_here() -> Coalesce:
    """The same number for each row of a queryset of releases, to annotate it with. Queries: none of its own."""
    held = eligible(OuterRef(OuterRef("pk"))).order_by().values(all=Value(1))
    return Coalesce(Subquery(held.annotate(n=Count("member", distinct=True)).values("n")), 0)


def eligible(release: Any) -> QuerySet[RoleGrant]:
    """The roles by which they review."""
    sent = Submission.objects.filter(release=release, status=SubmissionStatus.SENT)
    return reviewers().exclude(
        Exists(sent.filter(author=OuterRef("member"))) | Exists(sent.filter(photos__owner=OuterRef("member")))
    )


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
    """Declared links that touch any of the members, or anyone linked to them through others. Queries: 1."""
    links = links_around({member for member in members if member is not None})
    return frozenset(frozenset((link.first.public_id, link.second.public_id)) for link in links)


def links_around(members: set[int]) -> list[MemberLink]:
    """The links of these members, of those whom they lead to, and so on. Queries: 1."""
    if not members:
        return []
    near = RawSQL(NEAR % ", ".join(["%s"] * len(members)), sorted(members))  # noqa: S611 (the keys are parameters)
    return list(MemberLink.objects.filter(first__in=near).select_related("first", "second"))


def linked_to(member: Member) -> set[int]:
    """The member with all who are linked to them, directly or through others."""
    links = links_around({member.pk})
    return {member.pk}.union(*({link.first_id, link.second_id} for link in links))


def releases_of(members: set[int]) -> QuerySet[Release]:
    """Releases on which any of the members voted, or of which they own an example, in order of key."""
    voted = Q(variants__claims__votes__by__in=members)
    return Release.objects.filter(voted | Q(examples__owner__in=members)).distinct().order_by("pk")
