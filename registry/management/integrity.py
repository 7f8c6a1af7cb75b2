"""Whether what is kept is what was written: each check answers how much it looked at, and what is wrong in words."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from django.core.files.storage import default_storage

from registry.methods.canon import canonical, leaf_digest, whole_digest
from registry.methods.chain import commitment, verify
from registry.models import Edition, JournalEntry, JournalSecret, Photo, PublicationEntry, Revision, Variant
from registry.queries.journal import published_heads, whole_chain

from .editions import EditionUnreadable, check_edition, check_rebuilding, edition_folder, read_edition


@dataclass
class Checked:
    count: int = 0
    faults: list[str] = field(default_factory=list)


def check_journal() -> Checked:
    """The chain from its first line, held against what published editions vouch for."""
    finding = verify(whole_chain(), published_heads(), JournalEntry.objects.count())
    fault = finding.fault
    return Checked(finding.size, [f"line {fault.number} is {fault.kind}: {fault.words}"] if fault else [])


def check_secrets() -> Checked:
    """Personal words beside the journal are those that its lines commit to."""
    found = Checked()
    for secret in JournalSecret.objects.select_related("entry").order_by("pk").iterator(2000):
        found.count += 1
        try:
            promised = at_path(secret.entry.detail, secret.path)["commitment"]
            is_kept = promised == commitment(secret.salt, secret.value)
        except (KeyError, TypeError, ValueError, IndexError):
            is_kept = False
        if not is_kept:
            number = secret.entry.number
            found.faults.append(f"line {number}: {secret.path} is not what the line commits to")
    return found


def at_path(detail: object, path: str) -> dict[str, str]:
    for step in path.split("."):
        detail = detail[int(step)] if isinstance(detail, list) else detail[step]  # type: ignore[index]
    return detail  # type: ignore[return-value]


def check_revisions() -> Checked:
    found = Checked()
    for revision in Revision.objects.select_related("variant", "parent").order_by("pk").iterator(2000):
        found.count += 1
        snapshot: dict[str, object] = {
            "variant": revision.variant.public_id,
            "number": revision.number,
            "claims": revision.claims,
            "title": revision.title,
            "nicknames": revision.nicknames,
        }
        if revision.parent:
            snapshot["parent"] = revision.parent.digest
        if whole_digest(canonical(snapshot)) != revision.digest:
            found.faults.append(f"revision {revision.variant.public_id} r{revision.number} is not as written")
    return found


def check_records() -> Checked:
    """The records that the API serves, and those of the publication log."""
    found = Checked()
    for public_id, text, digest in records():
        found.count += 1
        if leaf_digest(text.encode()) != digest:
            found.faults.append(f"the record of {public_id} does not have the digest kept beside it")
    return found


def records() -> Iterator[tuple[str, str, str]]:
    served = Variant.objects.exclude(record="").order_by("pk")
    yield from served.values_list("public_id", "record", "record_digest").iterator(2000)
    published = PublicationEntry.objects.order_by("position")
    yield from published.values_list("variant_public_id", "record", "digest").iterator(2000)


def check_editions() -> Checked:
    """Each edition's digests, its files on disk, and that it follows the one before."""
    found, before = Checked(), None
    for edition in Edition.objects.order_by("number"):
        found.count += 1
        wrong = [] if is_as_signed(edition) else ["edition.json is not what it was when it was published"]
        try:
            folder = edition_folder(str(edition.number))
            files = read_edition(folder)
            wrong += check_edition(files, before) + check_rebuilding(edition, folder)
            before = files
        except EditionUnreadable as fault:
            wrong.append(str(fault))
        except (ValueError, KeyError, TypeError, AttributeError) as fault:  # of the publication log
            wrong.append(f"it cannot be built again: {type(fault).__name__}: {fault}")
        found.faults += [f"{edition}: {words}" for words in wrong]
    return found


def is_as_signed(edition: Edition) -> bool:
    try:
        said = json.loads(edition.document)
    except ValueError:
        return False
    return (whole_digest(edition.document.encode()), said.get("digest"), said.get("number")) == (
        edition.digest,
        edition.records_digest,
        edition.number,
    )


def check_photos() -> Checked:
    """Each picture that is shown is there, and is the one whose digest its row holds."""
    found = Checked()
    for photo in Photo.objects.shown().order_by("pk").iterator(2000):
        found.count += 1
        key = photo.stored_as()
        if not default_storage.exists(key):
            found.faults.append(f"photo {photo.public_id}: its file is missing")
            continue
        with default_storage.open(key) as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        if digest != photo.digest:
            found.faults.append(f"photo {photo.public_id}: its file is another picture")
    return found


CHECKS: dict[str, Callable[[], Checked]] = {
    "journal lines": check_journal,
    "personal words": check_secrets,
    "revisions": check_revisions,
    "records": check_records,
    "editions": check_editions,
    "photos": check_photos,
}
QUICK = ("journal lines", "personal words", "revisions")
