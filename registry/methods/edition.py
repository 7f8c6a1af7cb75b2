"""The files of an edition, as bytes: the same records always give the same bytes."""

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from .canon import canonical, leaf_digest, whole_digest

FORMAT = "edition/1"
CSV_COLUMNS = (
    "id",
    "revision",
    "standing",
    "cause",
    "maker",
    "line",
    "casting",
    "release",
    "release_id",
    "number",
    "year",
    "title",
    "trait",
    "state",
    "claim_standing",
    "difference",
    "examples",
    "sealed",
    "digest",
)
SPREADSHEET_ACTIVE = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "\N{FULLWIDTH EQUALS SIGN}",
    "\N{FULLWIDTH PLUS SIGN}",
    "\N{FULLWIDTH HYPHEN-MINUS}",
    "\N{FULLWIDTH COMMERCIAL AT}",
    "'",
)


def variants_ndjson(records: Iterable[tuple[str, str]]) -> bytes:
    """One canonical record a line. `records` are (text, digest) pairs in order of id."""
    return b"".join(text.encode() + b"\n" for text, _ in records)


def variants_csv(records: Iterable[tuple[str, str]]) -> bytes:
    """One row for each claim of each variant, and one for each that is gone, for spreadsheets.

    RFC 4180: CRLF, quotes doubled; UTF-8, a header.
    A cell that a spreadsheet would run as a formula gets a leading apostrophe, as does one that begins with an
    apostrophe; taking one apostrophe off such a cell gives the value back.
    """
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(CSV_COLUMNS)
    for text, digest in records:
        record = json.loads(text)
        for trait, claim in sorted(record.get("claims", {}).items()) or [("", {})]:
            row = {
                **record,
                "release_id": record.get("release", ""),
                **record.get("names", {}),
                **{"trait": trait, "digest": digest, "claim_standing": claim.get("standing", "")},
            }
            row |= {key: claim.get(key, "") for key in ("state", "difference", "examples", "sealed")}
            writer.writerow([cell(row.get(column, "")) for column in CSV_COLUMNS])
    return out.getvalue().encode()


def cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    return f"'{text}" if text.startswith(SPREADSHEET_ACTIVE) else text


def uncell(text: str) -> str:
    """The value of a cell as `cell` wrote it: exactly one apostrophe is taken off where one was put."""
    return text[1:] if text.startswith("'") and text[1:].startswith(SPREADSHEET_ACTIVE) else text


def edition_document(
    *,
    number: int,
    issued: datetime,
    policy: Mapping[str, int],
    count: int,
    changed: int,
    ndjson: bytes,
    csv: bytes,
    previous: tuple[int, str] | None,
    journal: tuple[int, str],
    fit: tuple[int, str] | None = None,
    founding: int = 0,
) -> bytes:
    """`edition.json` in canonical form: what the edition holds, by digest, and which edition it follows.

    `journal` is the number and digest of the journal's last line when the edition was cut: from then on nobody can
    change what the journal said without this edition telling.
    `fit`: number and digest of the rates by which votes weighed; none where everybody counted as the policy says.
    `founding`: how many of the records stand by the founding policy.

    Units: `issued` in UTC; digests are SHA-256 in hex, those of files over the unpacked bytes.
    """
    document: dict[str, Any] = {
        "format": FORMAT,
        "number": number,
        "issued": issued.isoformat(timespec="seconds").replace("+00:00", "Z"),
        "policy": dict(policy),
        "count": count,
        "changed": changed,
        "founding": founding,
        "digest": whole_digest(ndjson),
        "files": {
            "variants_ndjson": {"path": "variants.ndjson.gz", **measured(ndjson)},
            "variants_csv": {"path": "variants.csv", **measured(csv)},
        },
        "journal": {"size": journal[0], "head": journal[1]},
        "licence": {"facts": "CC0-1.0", "photos": "as each photo says"},
        "attribution": f"Castlore, List no. {number}",
        "notice": "A record of production variants. Not an appraisal: nothing here says what a thing is worth.",
    }
    if fit:
        document["fit"] = {"number": fit[0], "sha256": fit[1]}
    if previous:
        document["previous"] = {"number": previous[0], "sha256": previous[1]}
    return canonical(document)


def measured(content: bytes) -> dict[str, Any]:
    """Digest and length of a file, unpacked."""
    return {"sha256": whole_digest(content), "bytes": len(content)}


def faults(files: Mapping[str, bytes], previous: Mapping[str, bytes] | None = None) -> list[str]:
    """What is wrong with an edition, in words; nothing wrong gives an empty list.

    `files` and `previous` map `edition.json`, `variants.ndjson` (unpacked) and `variants.csv` to their bytes.
    """
    found: list[str] = []
    try:
        document = json.loads(files["edition.json"])
        said: Sequence[str] = files["variants.ndjson"].decode().splitlines()
    except (KeyError, ValueError) as fault:
        return [f"the edition cannot be read: {fault}"]
    if canonical(document) != files["edition.json"]:
        found.append("edition.json is not in canonical form")
    for name, promised in document.get("files", {}).items():
        content = files.get(promised["path"].removesuffix(".gz"), b"")
        if len(content) != promised["bytes"]:
            found.append(f"{name}: {promised['bytes']} bytes were promised, there are {len(content)}")
        if whole_digest(content) != promised["sha256"]:
            found.append(f"{name}: its digest is not the one promised")
    if document.get("digest") != whole_digest(files["variants.ndjson"]):
        found.append("digest is not that of variants.ndjson")
    if document.get("count") != len(said):
        found.append(f"{document.get('count')} records were promised, there are {len(said)}")
    found += record_faults(said)
    if previous is not None:
        found += succession_faults(document, previous)
        if gone := changes(files, previous)["gone"]:
            found.append(f"{len(gone)} records have left the list in silence, {gone[0]} among them")
    return found


def record_faults(lines: Sequence[str]) -> list[str]:
    found, before = [], ""
    for place, line in enumerate(lines, start=1):
        record = json.loads(line)
        if canonical(record) != line.encode():
            found.append(f"record {place} ({record.get('id')}) is not in canonical form")
        if record["id"] <= before:
            found.append(f"record {place} ({record['id']}) is out of order")
        before = record["id"]
    return found


def succession_faults(document: Mapping[str, Any], previous: Mapping[str, bytes]) -> list[str]:
    """An edition must name the one before by number and digest."""
    before = json.loads(previous["edition.json"])
    named = document.get("previous", {})
    if named.get("number") == before["number"] and named.get("sha256") == whole_digest(
        previous["edition.json"]
    ):
        return []
    return [f"it does not follow List no. {before['number']} as given"]


def changes(files: Mapping[str, bytes], previous: Mapping[str, bytes]) -> dict[str, list[str]]:
    """Ids that are new, changed or gone from one edition to the next."""
    now, before = digests(files["variants.ndjson"]), digests(previous["variants.ndjson"])
    return {
        "new": sorted(now.keys() - before.keys()),
        "changed": sorted(key for key in now.keys() & before.keys() if now[key] != before[key]),
        "gone": sorted(before.keys() - now.keys()),
    }


def digests(ndjson: bytes) -> dict[str, str]:
    """Each record's id and digest."""
    lines = ndjson.decode().splitlines()
    return {json.loads(line)["id"]: leaf_digest(line.encode()) for line in lines}
