"""The files of photos: kept in three sizes under the digest of what is stored, never under a name sent."""

from __future__ import annotations

import os

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from registry import intake
from registry.errors import Busy, ImageRefused
from registry.methods.photo import CleanPicture, PictureRefused
from registry.models import Photo
from registry.models.evidence import PHOTO_SIZES, stored_as
from registry.sentences import Sentence


def cleaned(data: bytes) -> CleanPicture:
    """The picture made safe in a process of its own, within the limits of the settings.

    Errors: ImageRefused, also where the picture brought that process down; Busy where too many came at once.
    """
    try:
        return intake.decode(data, settings.CASTLORE_PHOTO_MAX_BYTES, settings.CASTLORE_PHOTO_MAX_PIXELS)
    except (PictureRefused, intake.DecoderFailed) as refusal:
        raise ImageRefused(refusal.args[0], field="data") from refusal
    except intake.DecoderBusy as wait:
        raise Busy(Sentence("Many pictures are coming in. Send this one again in a moment.")) from wait


def keep_files(picture: CleanPicture) -> None:
    """Store each size, unless it is there whole: a file of another length is what a crash left behind."""
    for size, content in {"full": picture.jpeg, **picture.thumbnails}.items():
        key = stored_as(picture.digest, size)
        if default_storage.exists(key):
            if default_storage.size(key) == len(content):
                continue
            default_storage.delete(key)
        stored = default_storage.save(key, ContentFile(content))
        if stored != key:  # somebody stored the same picture in this very moment
            default_storage.delete(stored)
        sync(key)


def sync(key: str) -> None:
    """Wait until a file and its name are on the disk. A store elsewhere has waited already."""
    try:
        path = default_storage.path(key)
    except NotImplementedError:
        return
    for each in (path, os.path.dirname(path)):
        opened = os.open(each, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def are_kept(digest: str) -> bool:
    """Whether every size of a picture is stored."""
    return all(default_storage.exists(stored_as(digest, size)) for size in PHOTO_SIZES)


def drop_files(digest: str) -> None:
    """Remove the files of a picture that no photo shows, or shows any more."""
    if not Photo.objects.shown().filter(digest=digest).exists():
        for size in PHOTO_SIZES:
            default_storage.delete(stored_as(digest, size))
