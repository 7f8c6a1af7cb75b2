"""Files of pictures that no photo shows, and photos whose files are missing.

A picture's files are stored before its row, so a request that breaks off in between leaves files that nobody names.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.core.files.storage import default_storage

from registry.models import Photo
from registry.models.evidence import PHOTO_SIZES, files_of

KEPT_FOR = timedelta(hours=24)
"""How long a file may wait for its row."""
_FOLDER = "photos"
_AT_ONCE = 500


@dataclass
class Swept:
    """Storage keys: `removed` (on a dry run, what would be), `waiting` for a day to pass, `missing` of shown photos."""

    looked_at: int = 0
    removed: list[str] = field(default_factory=list)
    waiting: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


def sweep_photos(*, at: datetime, dry_run: bool = False) -> Swept:
    """Remove files older than a day that no photo shows, and say which files of photos are missing.

    No row is changed. Rows are looked up just before a file goes; who attaches the same picture in that moment looks
    once more after its row is there (see attach.enter).
    """
    swept = Swept()
    for folder in folders():
        keys = [f"{_FOLDER}/{folder}/{name}" for name in default_storage.listdir(f"{_FOLDER}/{folder}")[1]]
        swept.looked_at += len(keys)
        named = keys_shown(folder)
        for key in keys:
            if key in named:
                continue
            if not is_old(key, at):
                swept.waiting.append(key)
            elif dry_run or not Photo.objects.shown().filter(digest=digest_in(key)).exists():
                swept.removed.append(key)
                if not dry_run:
                    default_storage.delete(key)
    swept.missing = [key for key in keys_of_all() if not default_storage.exists(key)]
    return swept


def folders() -> list[str]:
    try:
        return sorted(default_storage.listdir(_FOLDER)[0])
    except FileNotFoundError:  # no picture was ever sent
        return []


def keys_shown(folder: str) -> set[str]:
    """What should lie in a folder, named by the first two digits of the digests."""
    shown = Photo.objects.shown().filter(digest__startswith=folder)
    return {key for digest in shown.values_list("digest", flat=True) for key in files_of(digest)}


def keys_of_all() -> Iterator[str]:
    """Each file that a shown photo needs, once."""
    digests = Photo.objects.shown().order_by("digest").values_list("digest", flat=True).distinct()
    for digest in digests.iterator(_AT_ONCE):
        for size in PHOTO_SIZES:
            yield Photo(digest=digest).stored_as(size)


def is_old(key: str, at: datetime) -> bool:
    try:
        return at - default_storage.get_modified_time(key) > KEPT_FOR
    except FileNotFoundError:  # somebody was quicker
        return False


def digest_in(key: str) -> str:
    """The digest that a storage key names; of a stranger's file, whatever stands there."""
    return key.rpartition("/")[2].partition("-")[0]
