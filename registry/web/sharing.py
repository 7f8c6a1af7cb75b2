"""What a page tells of itself where its address is passed on: the whole address and a picture (Open Graph)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.files.storage import default_storage
from django.http import HttpRequest
from django.urls import reverse

from registry.models import Photo
from registry.models.base import Identified


@dataclass(frozen=True)
class Shared:
    """`address` is stable: it leads to the record under any later name. `picture` is blank where there is none."""

    address: str
    title: str
    words: str
    picture: str = ""
    picture_is: str = ""


def shared(
    request: HttpRequest, thing: Identified, title: str, words: str, photos: Iterable[Photo]
) -> Shared:
    """In a title and a sentence; the first of the photographs is its picture."""
    path = reverse(str(thing._meta.model_name), kwargs={"public_id": thing.public_id})
    address = request.build_absolute_uri(path)
    photo = next(iter(photos), None)
    if photo is None:
        return Shared(address, title, words)
    picture = request.build_absolute_uri(default_storage.url(photo.stored_as("800")))
    return Shared(address, title, words, picture, photo.caption or title)
