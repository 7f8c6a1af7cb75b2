"""Cut-outs of stored photographs as files of their own."""

from __future__ import annotations

from base64 import b64encode

from django.core.cache import cache
from django.core.files.storage import default_storage

from registry.methods.crops import IN_TABLE, PRINTED, Box, cut
from registry.models import Mark

from .pictures import region

KEPT_SECONDS = 3600
FORMATS = {"webp": "WEBP", "jpg": "JPEG"}


def embedded(mark: Mark) -> str:
    """As a `data:` address of a JPEG, for a drawing that is taken away; empty where the file is not there."""
    piece = kept(mark, "jpg", PRINTED)
    return f"data:image/jpeg;base64,{b64encode(piece).decode()}" if piece else ""


def kept(mark: Mark, kind: str, sides: tuple[int, int] = IN_TABLE) -> bytes:
    """The marked region as a picture of that kind, from the cache for an hour; empty where the file is not there."""
    key = f"crop:{mark.photo.digest}:{mark.x}:{mark.y}:{mark.w}:{mark.h}:{sides[0]}:{kind}"
    if (found := cache.get(key)) is not None:
        return bytes(found)
    try:
        piece = cut(*source(mark), sides, kind=FORMATS[kind])
    except OSError:
        return b""
    cache.set(key, piece, KEPT_SECONDS)
    return piece


def source(mark: Mark) -> tuple[bytes, Box]:
    """The stored picture and the marked region with a little round it, in shares of its sides.

    Errors: OSError where the file went with a photo that was taken down, or was never there.
    """
    photo = mark.photo
    left, top, wide, tall = region(mark, photo)
    box = (left / photo.width, top / photo.height, wide / photo.width, tall / photo.height)
    with default_storage.open(photo.stored_as("800")) as stored:
        return stored.read(), box
