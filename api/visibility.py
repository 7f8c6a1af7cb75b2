"""Which rows a requester may see, where that depends on who asks."""

from __future__ import annotations

from typing import Any

from django.db.models import Q, QuerySet
from rest_framework.request import Request

from registry.models import Member, Photo


def reader(request: Request) -> Member | None:
    """Who asks, where they have an account."""
    return request.user if isinstance(request.user, Member) else None


def visible_photos(request: Request) -> QuerySet[Photo, Any]:
    """Photos of sent reports, disputes and sightings, and one's own; those of a draft are their owner's alone."""
    published = Q(submission=None) | Q(submission__sent_at__isnull=False)
    if request.user.is_authenticated:
        return Photo.objects.filter(published | Q(owner=request.user))
    return Photo.objects.filter(published)
