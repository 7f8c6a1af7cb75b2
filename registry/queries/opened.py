"""Opened drafts: what their authors show of them to others, and what others said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import Count, Prefetch, Q, QuerySet

from registry.models import Adoption, JournalEntry, Photo, Release, Remark, State, Submission, Trait

from .journal import details_as_read
from .paged import Page, one_page
from .reporting import with_states

DRAFTS_ON_PAGE = 60
REMARKS_ON_PAGE = 50


def pictures() -> Any:
    return Prefetch(
        "photos", Photo.objects.shown().select_related("owner").order_by("id"), to_attr="pictures"
    )


def every_opened() -> QuerySet[Submission]:
    """Each with its `pictures` and how many `remarks` it has. Queries: 2."""
    stands = Q(photos__remarks__removed_at=None, photos__taken_down_at=None)
    drafts = Submission.objects.opened().annotate(
        remarks=Count("photos__remarks", filter=stands, distinct=True)
    )
    related = ("author", "casting__merged_into", "release__merged_into", "release__line", "release__casting")
    return drafts.select_related(*related, "differs_from").prefetch_related(pictures())


def opened_drafts(page: int = 1) -> Page[Submission]:
    """Newest first. Queries: 2."""
    return one_page(every_opened().order_by("-opened_at", "-id"), page, DRAFTS_ON_PAGE)


def one_opened(public_id: str) -> Submission | None:
    """Queries: 2."""
    return every_opened().filter(public_id=public_id).first()


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


def said_of(draft: Submission) -> QuerySet[Remark]:
    """What others said of the pictures of a draft of `one_opened`, each with the state that it names."""
    said = Remark.objects.standing().filter(photo__in=draft.pictures)  # type: ignore[attr-defined]
    return said.select_related("by", "photo", "state__trait", "state__merged_into__trait")


def seen_on(draft: Submission, page: int = 1) -> tuple[list[Seen], Page[Remark]]:
    """Every picture with those of one page of the remarks, newest first. Queries: 1."""
    shown = one_page(said_of(draft).order_by("-pk"), page, REMARKS_ON_PAGE)
    seen = {photo.pk: Seen(photo, []) for photo in draft.pictures}  # type: ignore[attr-defined]
    for remark in shown.items:
        seen[remark.photo_id].remarks.append(remark)
    return list(seen.values()), shown


def merged_since(content: Mapping[str, Any]) -> dict[str, str]:
    """What stands for each detail and state that a draft claims and that was merged: ids by ids. Queries: 2."""
    said = content.get("claims") or []
    ids = [str(claim.get(part)) for claim in said for part in ("trait", "state", "base_state")]
    found: dict[str, str] = {}
    for model in (Trait, State):
        merged = model._default_manager.filter(public_id__in=ids, merged_into__isnull=False)
        found |= dict(merged.values_list("public_id", "merged_into__public_id"))
    return found


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
