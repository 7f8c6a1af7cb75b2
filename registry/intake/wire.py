"""Messages over a pipe: a head of a few plain values as JSON, then pieces of bytes, each announced by its length."""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from typing import Any, BinaryIO

_LENGTH = struct.Struct(">I")
Message = tuple[dict[str, Any], list[bytes]]
MOST_HEAD = 100_000  # bytes


class Garbled(Exception):
    """The other side ended in the middle, or says what no message may say."""


def send(to: BinaryIO, head: dict[str, Any], pieces: Sequence[bytes] = ()) -> None:
    told = json.dumps({**head, "pieces": [len(piece) for piece in pieces]}).encode()
    to.write(_LENGTH.pack(len(told)) + told)
    for piece in pieces:
        to.write(piece)
    to.flush()


def receive(source: BinaryIO, most: int) -> Message | None:
    """The next message, or None where the other side has closed. Never reads more than `most` bytes of pieces.

    Errors: Garbled.
    """
    start = source.read(_LENGTH.size)
    if not start:
        return None
    length = _LENGTH.unpack(start)[0] if len(start) == _LENGTH.size else 0
    if not 0 < length <= MOST_HEAD:
        raise Garbled
    try:
        head = json.loads(_exactly(source, length))
        sizes = [int(size) for size in head.pop("pieces")]
    except (ValueError, TypeError, KeyError, AttributeError) as fault:
        raise Garbled from fault
    if min(sizes, default=0) < 0 or sum(sizes) > most:
        raise Garbled
    return head, [_exactly(source, size) for size in sizes]


def _exactly(source: BinaryIO, size: int) -> bytes:
    read = source.read(size)
    if len(read) != size:
        raise Garbled
    return read
