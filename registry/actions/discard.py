"""Take a wrong picture out of a report that was not sent: nobody else relies on it, so it goes for good."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction

from registry.errors import AlreadyClosed, NotFound
from registry.models import Chart, JournalEntry, MarkColour, Member, Photo, PhotoExample, Remark, Submission
from registry.sentences import Sentence

from .drafts import own_draft
from .journalled import journalled
from .photo_files import drop_files


@journalled
def discard_photo(*, photo: Photo, by: Member, at: datetime) -> Submission:
    """The draft without the picture, and without the marks on it that it holds. Quotas count pictures that are left.

    Errors: NotFound for what is no own draft's, AlreadyClosed once sent or where a moderator took the picture down.
    """
    if photo.submission is None:
        raise NotFound
    draft = own_draft(photo.submission, by)
    it = draft.photos.filter(pk=photo.pk).first()
    if it is None:
        raise NotFound
    if it.taken_down_at:
        raise AlreadyClosed(
            Sentence("A moderator took this picture down. It is no longer part of your report.")
        )
    draft.content = without_photo(draft.content, it.public_id)
    draft.revision += 1
    draft.changed_at = at
    draft.save()
    detail = {"id": it.public_id, "submission": draft.public_id}
    JournalEntry.objects.record(by=by, verb="photo.discarded", about=it, at=at, detail=detail)
    drop_photos([it])
    return draft


def without_photo(content: dict[str, Any], public_id: str) -> dict[str, Any]:
    """What the draft says, but for what it says of the photo. A program may have kept it in any shape."""

    def left(said: Any) -> Any:
        if not isinstance(said, list):
            return said
        return [item for item in said if not isinstance(item, dict) or item.get("photo") != public_id]

    return {key: left(said) if key in ("photos", "marks") else said for key, said in content.items()}


def drop_photos(photos: Iterable[Photo]) -> None:
    """Rows of drafts' pictures, with what was noted of them; the files go once that is certain."""
    gone = list(photos)
    Remark.objects.filter(photo__in=gone).delete()
    MarkColour.objects.filter(chart__photo__in=gone).delete()
    Chart.objects.filter(photo__in=gone).delete()
    PhotoExample.objects.filter(photo__in=gone).delete()
    Photo.objects.filter(pk__in=[photo.pk for photo in gone]).delete()
    for photo in gone:
        transaction.on_commit(partial(drop_files, photo.digest))
