"""Opened drafts: what their authors show of them to others, and what others said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import Count, Prefetch, Q

from registry.models import Adoption, JournalEntry, Photo, Release, Remark, State, Submission

from .journal import details_as_read
from .reporting import with_states

MOST = 60


def pictures() -> Any:
    return Prefetch(
        "photos", Photo.objects.shown().select_related("owner").order_by("id"), to_attr="pictures"
    )


def opened_drafts() -> list[Submission]:
    """Newest first, each with its `pictures` and how many `remarks` it has. Queries: 2."""
    stands = Q(photos__remarks__removed_at=None, photos__taken_down_at=None)
    drafts = Submission.objects.opened().annotate(
        remarks=Count("photos__remarks", filter=stands, distinct=True)
    )
    related = ("author", "casting", "release")
    return list(
        drafts.select_related(*related).prefetch_related(pictures()).order_by("-opened_at", "-id")[:MOST]
    )


def one_opened(public_id: str) -> Submission | None:
    """With its `pictures`. Queries: 2."""
    related = ("author", "casting", "release__line", "release__casting", "differs_from")
    drafts = Submission.objects.opened().filter(public_id=public_id).select_related(*related)
    return drafts.prefetch_related(pictures()).first()


class Closed(NamedTuple):
    """When a moderator closed an opened draft, and why, as far as the words are still known."""

    at: datetime
    reason: str


def why_closed(draft: Submission) -> Closed | None:
    """Of a draft that a moderator closed and its author has not opened again. Queries: 2, none for others."""
    if not draft.is_closed:
        return None
    closings = JournalEntry.objects.filter(
        about_kind="submission", about_id=draft.public_id, verb="submission.closed"
    )
    line = closings.order_by("-pk")[0]
    reason = details_as_read([line])[line.number]["reason"]
    return Closed(line.at, reason if isinstance(reason, str) else "")


@dataclass
class Seen:
    """A picture of an opened draft and what others said of it."""

    photo: Photo
    remarks: list[Remark]


def seen_on(draft: Submission) -> list[Seen]:
    """Every picture with its remarks, oldest first. Queries: 1, for a draft of `one_opened`."""
    photos: list[Photo] = draft.pictures  # type: ignore[attr-defined]
    said = Remark.objects.standing().filter(photo__in=photos).select_related("by", "state__trait", "photo")
    seen = {photo.pk: Seen(photo, []) for photo in photos}
    for remark in said.order_by("pk"):
        seen[remark.photo_id].remarks.append(remark)
    return list(seen.values())


def states_to_name(release: Release | None) -> list[State]:
    """Every state that a remark may name: those of the details of the release. Queries: 3, none without a release."""
    if release is None:
        return []
    adopted = Adoption.objects.filter(release=release, trait__merged_into=None).select_related("trait")
    found = []
    for adoption in adopted.prefetch_related(with_states("trait__states")).order_by(
        "trait__line_id", "trait_id"
    ):
        for state in adoption.trait.states.all():
            state.trait = adoption.trait
            found.append(state)
    return found
