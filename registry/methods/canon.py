"""One spelling for each record, so that its digest means something.

The canonical form is that of RFC 8785. What makes canonical JSON hard is not admitted: numbers are whole and
held exactly by every reader, keys are plain, text has one normal form, there is no null. Under these rules
compact sorted JSON in UTF-8 is byte for byte what RFC 8785 asks for, whichever language writes it. Journal lines
alone admit null, which RFC 8785 spells in one way too.
"""

import hashlib
import json
import re
import unicodedata

LARGEST_INTEGER = 2**53 - 1
DEEPEST = 32

_KEY = re.compile(r"[a-z0-9_]+")


def canonical(value: object, *, nulls: bool = False) -> bytes:
    """The canonical bytes of a record made of dicts, lists, strings, integers and booleans; of null where asked.

    Source: RFC 8785 section 3.2, for the admitted values.
    Errors: ValueError naming the path of the first value that is not admitted, and why.

    >>> canonical({"title": "Gull", "length_um": 52000, "sealed": True})
    b'{"length_um":52000,"sealed":true,"title":"Gull"}'
    """
    _check(value, "record", 0, nulls)
    return json.dumps(
        value, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True
    ).encode()


def leaf_digest(record: bytes) -> str:
    """SHA-256 over 0x00 and the canonical bytes, in hex: the record's ETag, check value and tree leaf in one.

    Source: RFC 6962 and RFC 9162, section 2.1 (the leaf hash of a Merkle tree); FIPS 180-4.
    """
    return hashlib.sha256(b"\x00" + record).hexdigest()


def whole_digest(content: bytes) -> str:
    """SHA-256 over a whole file, in hex: what a reader's own checksum program prints. Source: FIPS 180-4."""
    return hashlib.sha256(content).hexdigest()


def _check(value: object, path: str, depth: int, nulls: bool) -> None:
    if depth > DEEPEST:
        raise ValueError(f"{path}: nested more than {DEEPEST} deep")
    if isinstance(value, bool) or (nulls and value is None):
        return
    if isinstance(value, int):
        if abs(value) > LARGEST_INTEGER:
            raise ValueError(f"{path}: {value} is beyond 2^53 - 1, where readers lose digits")
    elif isinstance(value, str):
        _check_text(value, path)
    elif isinstance(value, dict):
        for key, member in value.items():
            if not isinstance(key, str) or not _KEY.fullmatch(key):
                raise ValueError(f"{path}: the key {key!r} has more than lower-case letters, digits and _")
            _check(member, f"{path}.{key}", depth + 1, nulls)
    elif isinstance(value, list | tuple):
        for place, member in enumerate(value):
            _check(member, f"{path}[{place}]", depth + 1, nulls)
    elif value is None:
        raise ValueError(f"{path}: null is not admitted, leave the key out")
    elif isinstance(value, float):
        raise ValueError(f"{path}: {value} is not a whole number; choose a smaller unit")
    else:
        raise ValueError(f"{path}: a {type(value).__name__} has no place in a record")


def _check_text(text: str, path: str) -> None:
    for place, symbol in enumerate(text):
        if unicodedata.category(symbol) == "Cc":
            raise ValueError(f"{path}: control character U+{ord(symbol):04X} at position {place}")
        if "\ud800" <= symbol <= "\udfff":
            raise ValueError(f"{path}: half of a character, U+{ord(symbol):04X}, at position {place}")
    if not unicodedata.is_normalized("NFC", text):
        raise ValueError(f"{path}: the text is not in Unicode normal form C")
