"""Which rows a requester may see, where that depends on who asks."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from rest_framework.request import Request

from registry.models import Member, Photo


def reader(request: Request) -> Member | None:
    """Who asks, where they have an account."""
    return request.user if isinstance(request.user, Member) else None


def visible_photos(request: Request) -> QuerySet[Photo, Any]:
    """Photos of sent reports, disputes and sightings, and one's own; those of a draft are their owner's alone."""
    return Photo.objects.seen_by(reader(request))
