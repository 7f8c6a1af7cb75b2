"""Cut-outs of photographs as files of their own, for drawings that are taken away from the site."""

from __future__ import annotations

from base64 import b64encode
from io import BytesIO

from django.core.cache import cache
from django.core.files.storage import default_storage

from registry.models import Mark

from .pictures import region

SIZE = (480, 360)
KEPT_SECONDS = 3600


def embedded(mark: Mark) -> str:
    """The marked region with a little round it, as a `data:` address of a JPEG; empty where the file is not there."""
    photo = mark.photo
    key = f"crop:{photo.digest}:{mark.x}:{mark.y}:{mark.w}:{mark.h}"
    if (kept := cache.get(key)) is not None:
        return str(kept)
    try:
        with default_storage.open(photo.stored_as("800")) as file:
            data = file.read()
    except FileNotFoundError:
        return ""
    address = f"data:image/jpeg;base64,{b64encode(cut(data, mark)).decode()}"
    cache.set(key, address, KEPT_SECONDS)
    return address


def cut(data: bytes, mark: Mark) -> bytes:
    """From a picture that may be smaller than the whole one that the mark is measured on."""
    from PIL import Image

    left, top, width, height = region(mark, mark.photo)
    with Image.open(BytesIO(data)) as picture:
        scale = picture.width / mark.photo.width
        box = (left * scale, top * scale, (left + width) * scale, (top + height) * scale)
        piece = picture.convert("RGB").resize(SIZE, Image.Resampling.BICUBIC, box=box)
    out = BytesIO()
    piece.save(out, "JPEG", quality=82)
    return out.getvalue()
