"""Published editions as files: found by number or folder, read, and checked."""

from __future__ import annotations

import gzip
import zlib
from pathlib import Path

from registry import actions
from registry.actions.publish import edition_files
from registry.methods.edition import faults
from registry.models import Edition

PACKED = ".gz"


class EditionUnreadable(Exception):
    """There is no such edition, or its files cannot be read; the message says why."""


def edition_folder(named: str) -> Path:
    """The folder of an edition of this registry, given by number, or any folder that holds one."""
    if not named.isdecimal():
        return Path(named)
    edition = find_edition(int(named))
    return actions.edition_file(edition, "edition.json").parent


def find_edition(number: int) -> Edition:
    edition = Edition.objects.filter(number=number).first()
    if edition is None:
        last = Edition.objects.order_by("number").last()
        known = f"The latest is List no. {last.number}." if last else "None has been published yet."
        raise EditionUnreadable(f"There is no List no. {number} here. {known}")
    return edition


def read_edition(folder: Path) -> dict[str, bytes]:
    """The files of an edition by name, unpacked. Errors: EditionUnreadable naming the file."""
    files = {}
    for name in actions.FILES:
        path = folder / name
        try:
            content = path.read_bytes()
            files[name.removesuffix(PACKED)] = gzip.decompress(content) if name.endswith(PACKED) else content
        except (OSError, EOFError, zlib.error) as fault:
            raise EditionUnreadable(f"{path} cannot be read: {fault}") from fault
    return files


def check_edition(files: dict[str, bytes], previous: dict[str, bytes] | None = None) -> list[str]:
    """What is wrong with an edition, in words. A file so broken that it cannot be judged is a fault as well."""
    try:
        return faults(files, previous)
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        return [f"a record or edition.json is not of the form of an edition: {type(fault).__name__}: {fault}"]


def check_rebuilding(edition: Edition, folder: Path) -> list[str]:
    """The files of an own edition, as they are on disk, must be the bytes that the publication log gives."""
    return [
        f"{name} is not what the publication log gives when it is built again"
        for name, content in edition_files(edition).items()
        if (folder / name).read_bytes() != content
    ]
