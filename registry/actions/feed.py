"""What happened, for those who follow: one event for each thing worth telling. Called inside other actions."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from registry.models import FeedEvent, FeedEventKind, Release, Variant, VariantStanding

TOLD = {
    VariantStanding.VERIFIED: FeedEventKind.VERIFIED,
    VariantStanding.CONTESTED: FeedEventKind.CONTESTED,
    VariantStanding.SET_APART: FeedEventKind.SET_APART,
}


def tell(release: Release, kind: FeedEventKind, at: datetime, variant: Variant | None = None) -> None:
    FeedEvent.objects.create(kind=kind, line_id=release.line_id, release=release, variant=variant, at=at)


def tell_standings(release: Release, variants: Iterable[Variant], at: datetime) -> None:
    """The variants have a new standing; those that nobody waits for are passed over."""
    FeedEvent.objects.bulk_create(
        FeedEvent(kind=TOLD[standing], line_id=release.line_id, release=release, variant=variant, at=at)
        for variant in variants
        if (standing := VariantStanding(variant.standing)) in TOLD
    )
