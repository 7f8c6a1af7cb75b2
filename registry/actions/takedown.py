"""Take a photograph down, and show it again: what it proved is settled anew, and old editions stay as they were."""

from __future__ import annotations

import hashlib
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction

from registry.errors import AlreadyClosed, ImageRefused
from registry.methods.photo import CleanPicture
from registry.models import JournalEntry, Member, Photo, Release, Role
from registry.sentences import Sentence

from . import wording
from .admission import require
from .attach import TakenIn, describe, settle_if_published
from .journalled import journalled
from .photo_files import are_kept, cleaned, drop_files, keep_files
from .photo_parent import release_of
from .settle import locked


@journalled
def take_down_photo(*, photo: Photo, by: Member, at: datetime, reason: str, legal: bool = False) -> Photo:
    """A moderator hides a photo: it proves nothing any more. Its files go unless another photo shares them.

    `legal`: on a legal demand, which is about the picture: every photo that shows it is taken down with this one.
    No edition holds a picture, so those published before verify as they did.
    Errors: RoleRequired, AlreadyClosed, InvalidField for a missing reason.
    """
    moderator = require(by, Role.MODERATOR)
    reason = wording.line("reason", reason, 300)
    same = Photo.objects.filter(pk=photo.pk)
    if legal:
        same |= Photo.objects.shown().filter(digest=photo.digest)
    lock_releases(list(same))
    photos = list(same.select_for_update(of=("self",)).order_by("pk"))
    it = next(each for each in photos if each.pk == photo.pk)
    if it.taken_down_at:
        raise AlreadyClosed(Sentence("This photo has already been taken down."))
    for each in photos:
        take_down(each, moderator, at, reason, legal)
    transaction.on_commit(partial(drop_files, it.digest))
    return it


def take_down(photo: Photo, moderator: Member, at: datetime, reason: str, legal: bool) -> None:
    photo.taken_down_at, photo.withheld_by_law = at, legal
    photo.save(update_fields=["taken_down_at", "withheld_by_law"])
    of_claim = photo.dispute if photo.dispute and photo.dispute.claim_id else None
    bare = [of_claim.public_id] if of_claim and not of_claim.photos.shown().exists() else []
    detail: dict[str, Any] = {"id": photo.public_id, "reason": reason, "disputes": bare}
    if legal:
        detail["legal"] = True
    JournalEntry.objects.record(by=moderator, verb="photo.taken_down", about=photo, at=at, detail=detail)
    settle_if_published(photo, release_of(photo), at)


def restore_photo(
    *, photo: Photo, by: Member, at: datetime, reason: str, data: bytes | TakenIn | None = None
) -> Photo:
    """A moderator shows a photo again, such as after a counter-notice: it proves what it did.

    A takedown keeps no copy aside, so the file first sent has to be sent again, unless another photo has kept the
    picture here all along. A caller that is in a transaction has it decoded by take_in_again before.
    Errors: RoleRequired, AlreadyClosed where it is shown, ImageRefused for another picture or none.
    """
    if isinstance(data, bytes):
        data = take_in_again(photo=photo, by=by, data=data)
    return show_again(photo=photo, by=by, at=at, reason=reason, picture=data.picture if data else None)


def take_in_again(*, photo: Photo, by: Member, data: bytes) -> TakenIn:
    """Decode the file that a photo was first attached with and store its pictures: what takes long.

    Errors: RoleRequired, ImageRefused unless it is that file, or gives the same picture.
    """
    require(by, Role.MODERATOR)
    picture, upload = cleaned(data), hashlib.sha256(data).hexdigest()
    if upload != photo.upload_digest and picture.digest != photo.digest:
        raise ImageRefused(
            Sentence("This is another picture. Send the very file that was first attached."), field="data"
        )
    keep_files(picture)
    return TakenIn(upload, picture)


@journalled
def show_again(*, photo: Photo, by: Member, at: datetime, reason: str, picture: CleanPicture | None) -> Photo:
    moderator = require(by, Role.MODERATOR)
    reason = wording.line("reason", reason, 300)
    lock_releases([photo])
    it = Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    if not it.taken_down_at:
        raise AlreadyClosed(Sentence("This photo is shown. There is nothing to undo."))
    if picture is None and not are_kept(it.digest):
        raise ImageRefused(
            Sentence("Its files are gone. Send the very file that was first attached."), field="data"
        )
    it.taken_down_at, it.withheld_by_law, it.restored_at = None, False, at
    if picture is not None:
        # A newer decoder may draw the same upload a little differently: the row says what is stored now.
        describe(it, picture, at)
    it.save()
    of_claim = it.dispute if it.dispute and it.dispute.claim_id else None
    detail = {
        "id": it.public_id,
        "reason": reason,
        "disputes": [of_claim.public_id] if of_claim else [],
    }
    JournalEntry.objects.record(by=moderator, verb="photo.restored", about=it, at=at, detail=detail)
    settle_if_published(it, release_of(it), at)
    if picture is not None:
        transaction.on_commit(partial(keep_files, picture))
    return it


def lock_releases(photos: list[Photo]) -> None:
    """Those that the photos are evidence on, in order of key."""
    found: dict[int, Release] = {}
    for photo in photos:
        if release := release_of(photo):
            found[release.pk] = release
    for key in sorted(found):
        locked(found[key])
