"""Cut-outs of stored photographs as files of their own."""

from __future__ import annotations

from base64 import b64encode

from django.core.cache import cache
from django.core.files.storage import default_storage

from registry.methods.crops import Box, printed_crop
from registry.models import Mark

from .pictures import region

KEPT_SECONDS = 3600


def source(mark: Mark) -> tuple[bytes, Box]:
    """The stored picture and the marked region with a little round it, in shares of its sides.

    Errors: OSError where the file went with a photo that was taken down, or was never there.
    """
    photo = mark.photo
    left, top, wide, tall = region(mark, photo)
    with default_storage.open(photo.stored_as("800")) as stored:
        return stored.read(), (
            left / photo.width,
            top / photo.height,
            wide / photo.width,
            tall / photo.height,
        )


def embedded(mark: Mark) -> str:
    """As a `data:` address of a JPEG, for a drawing that is taken away; empty where the file is not there."""
    key = f"crop:{mark.photo.digest}:{mark.x}:{mark.y}:{mark.w}:{mark.h}"
    if (kept := cache.get(key)) is not None:
        return str(kept)
    try:
        address = f"data:image/jpeg;base64,{b64encode(printed_crop(*source(mark))).decode()}"
    except OSError:
        return ""
    cache.set(key, address, KEPT_SECONDS)
    return address
