"""The files of photos: kept in several sizes under the digest of what is stored, never under a name sent."""

from __future__ import annotations

import os

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from registry import intake
from registry.errors import Busy, ImageRefused
from registry.methods.photo import CleanPicture, PictureRefused
from registry.models import Photo
from registry.models.evidence import PHOTO_SIZES, WEBP_SIZES, files_of, stored_as
from registry.sentences import Sentence


def cleaned(data: bytes) -> CleanPicture:
    """A stranger's picture made safe, within the limits of the settings. Errors: ImageRefused, Busy."""
    return decoded(data, settings.CASTLORE_PHOTO_MAX_BYTES, settings.CASTLORE_PHOTO_MAX_PIXELS)


def decoded(data: bytes, max_bytes: int, max_pixels: int) -> CleanPicture:
    """The picture made safe in a process of its own.

    Errors: ImageRefused, also where the picture brought that process down; Busy where too many came at once.
    """
    try:
        return intake.decode(data, max_bytes, max_pixels)
    except (PictureRefused, intake.DecoderFailed) as refusal:
        raise ImageRefused(refusal.args[0], field="data") from refusal
    except intake.DecoderBusy as wait:
        raise Busy(Sentence("Many pictures are coming in. Send this one again in a moment.")) from wait


def keep_files(picture: CleanPicture) -> None:
    for size, content in {"full": picture.jpeg, **picture.thumbnails}.items():
        keep(stored_as(picture.digest, size), content)
    keep_webp(picture.digest, picture)


def keep_webp(digest: str, picture: CleanPicture) -> None:
    for size, content in picture.webp.items():
        keep(stored_as(digest, size, "webp"), content)


def draw_photo(*, photo: Photo) -> bool:
    """Make what pages show of a photo that came in before there was WebP; no where it is there.

    Errors: FileNotFoundError where its own file is gone; ImageRefused, Busy.
    """
    if all(default_storage.exists(photo.stored_as(size, "webp")) for size in WEBP_SIZES):
        return False
    with default_storage.open(photo.stored_as()) as file:
        whole = file.read()
    keep_webp(photo.digest, decoded(whole, len(whole), photo.width * photo.height))
    drop_files(photo.digest)  # where it was taken down meanwhile
    return True


def keep(key: str, content: bytes) -> None:
    """Store a file, unless it is there whole: one of another length is what a crash left behind."""
    if default_storage.exists(key):
        if default_storage.size(key) == len(content):
            return
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
    """Whether every size of a picture that proves something is stored."""
    return all(default_storage.exists(stored_as(digest, size)) for size in PHOTO_SIZES)


def drop_files(digest: str) -> None:
    """Remove the files of a picture that no photo shows, or shows any more."""
    if not Photo.objects.shown().filter(digest=digest).exists():
        for key in files_of(digest):
            default_storage.delete(key)
