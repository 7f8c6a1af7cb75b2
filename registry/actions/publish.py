"""Publish an edition: fix its number, date and content in one short transaction, then write its files."""

from __future__ import annotations

import gzip
import json
import os
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.db.models import Max, OuterRef, Q, Subquery

from registry.errors import EditionUnchanged, NotFound
from registry.methods.canon import leaf_digest, whole_digest
from registry.methods.edition import edition_document, variants_csv, variants_ndjson
from registry.models import (
    LISTED,
    Edition,
    FitAdoption,
    JournalEntry,
    Member,
    Policy,
    PublicationEntry,
    PublicationKind,
    Role,
    Variant,
)
from registry.sentences import Sentence

from .admission import require
from .journalled import journalled

FILES = {
    "edition.json": "application/json",
    "variants.ndjson.gz": "application/gzip",
    "variants.csv": "text/csv; charset=utf-8",
}


@journalled
def publish_edition(*, by: Member, at: datetime) -> Edition:
    """Publish the next numbered edition of the list. Errors: RoleRequired, EditionUnchanged.

    Listed are variants that are verified, contested or set apart, and whatever was listed before: nothing leaves
    the list in silence.
    """
    require(by, Role.MODERATOR)
    # Whoever holds the policy cuts the edition: a second moderator waits, and then sees the first one's.
    policy = Policy.objects.select_for_update(no_key=True).latest("version")
    previous = Edition.objects.order_by("-number").first()
    number = previous.number + 1 if previous else 1
    log_changes(number)
    position = PublicationEntry.objects.aggregate(last=Max("position"))["last"] or 0
    if position == (previous.position if previous else 0):
        raise EditionUnchanged
    records = records_at(position)
    fit = FitAdoption.objects.current_fit()
    ndjson = variants_ndjson(records)
    document = edition_document(
        number=number,
        issued=at.astimezone(UTC),
        policy=policy.numbers,
        count=len(records),
        changed=PublicationEntry.objects.filter(edition_number=number).count(),
        ndjson=ndjson,
        csv=variants_csv(records),
        previous=(previous.number, previous.digest) if previous else None,
        journal=JournalEntry.objects.head(),
        founding=sum(json.loads(text).get("founding", False) for text, _ in records),
        fit=(fit.number, fit.digest) if fit else None,
    )
    edition = Edition(
        number=number,
        issued_at=at,
        policy=policy,
        position=position,
        count=len(records),
        records_digest=whole_digest(ndjson),
        digest=whole_digest(document),
        document=document.decode(),
        previous=previous,
        issued_by=by,
    )
    edition.save()
    JournalEntry.objects.record(
        by=by,
        verb="edition.published",
        about=edition,
        at=at,
        detail={"number": number, "digest": edition.digest, "count": edition.count},
    )
    transaction.on_commit(lambda: write_files(edition))
    return edition


def log_changes(number: int) -> None:
    """One publication entry for each variant whose record differs from what was published last."""
    last = PublicationEntry.objects.filter(variant=OuterRef("pk")).order_by("-position")
    published = Variant.objects.annotate(last_digest=Subquery(last.values("digest")[:1]))
    due = published.filter(Q(standing__in=LISTED) | Q(last_digest__isnull=False))
    position = PublicationEntry.objects.aggregate(last=Max("position"))["last"] or 0
    entries = []
    for variant in due.order_by("public_id").iterator(2000):
        if variant.record_digest == variant.last_digest:
            continue
        position += 1
        kind = PublicationKind.CHANGED if variant.last_digest else PublicationKind.NEW
        entries.append(
            PublicationEntry(
                position=position,
                edition_number=number,
                variant=variant,
                variant_public_id=variant.public_id,
                revision=variant.revision_number,
                kind=PublicationKind.ENDED if variant.is_gone else kind,
                digest=leaf_digest(variant.record.encode()),
                record=variant.record,
            )
        )
    PublicationEntry.objects.bulk_create(entries, batch_size=500)


def records_at(position: int) -> list[tuple[str, str]]:
    """Record text and digest of every variant in the edition that ends at this position, in order of id."""
    latest = (
        PublicationEntry.objects.filter(variant=OuterRef("variant"), position__lte=position)
        .order_by("-position")
        .values("position")[:1]
    )
    rows = PublicationEntry.objects.filter(position__lte=position, position=Subquery(latest))
    return list(rows.order_by("variant_public_id").values_list("record", "digest"))


def edition_files(edition: Edition) -> dict[str, bytes]:
    """The three files of an edition, built from the publication log: the same bytes each time."""
    records = records_at(edition.position)
    return {
        "edition.json": edition.document.encode(),
        "variants.ndjson.gz": gzip.compress(variants_ndjson(records), 6, mtime=0),
        "variants.csv": variants_csv(records),
    }


def write_files(edition: Edition) -> None:
    """Write the files that are missing; one that is there already is kept as it is."""
    folder = edition_folder(edition)
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in edition_files(edition).items():
        if not (folder / name).exists():
            write_whole(folder / name, content)


def write_whole(path: Path, content: bytes) -> None:
    """All of it or nothing, whenever the power fails."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".")
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    Path(temporary).chmod(0o644)
    os.replace(temporary, path)


def edition_folder(edition: Edition) -> Path:
    return Path(settings.CASTLORE_PUBLISH_ROOT) / "e" / f"{edition.number:06d}"


def edition_file(edition: Edition, name: str) -> Path:
    """The path of one published file, written again should it be missing. Errors: NotFound for another name."""
    if name not in FILES:
        raise NotFound(Sentence("An edition has these files: %(ones)s.", ones=", ".join(FILES)))
    path = edition_folder(edition) / name
    if not path.exists():
        write_files(edition)
    return path
