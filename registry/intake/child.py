"""The process that decodes: `python -m registry.intake.child`, fed through its standard input.

It is started with an empty environment, so it knows no secret, and limits itself before it reads a stranger's byte:
address space, processor time, no file written, no core dumped. Breaking a limit ends it, and nothing else.
"""

from __future__ import annotations

import os
import resource
import time
from dataclasses import asdict
from math import ceil
from typing import Any, BinaryIO

from registry.methods.photo import CleanPicture, PictureRefused, clean_picture
from registry.methods.photo_heic import heic_reader

from . import wire
from .limits import CPU_SECONDS, MEMORY_BYTES, MOST_UPLOAD, PICTURES


def serve() -> None:
    """Answer one message with one message until the other side closes."""
    source = os.fdopen(os.dup(0), "rb")
    to = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever a library may print does not garble the answers
    heic_reader()  # loaded, where it is installed, while files may still be opened at will
    limit_all()
    wire.send(to, {"ready": True})
    while message := wire.receive(source, MOST_UPLOAD):
        head, (data,) = message
        limit_time()
        answer(to, data, **head)


def limit_all() -> None:
    """What no picture may pass, however many there are."""
    for what, most in (
        (resource.RLIMIT_AS, MEMORY_BYTES),
        (resource.RLIMIT_CPU, CPU_SECONDS * (PICTURES + 1)),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_NOFILE, 32),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(what, (most, most))


def limit_time() -> None:
    """Ten more seconds of processor time from now on; passing them ends the process."""
    most = resource.getrlimit(resource.RLIMIT_CPU)[1]
    resource.setrlimit(resource.RLIMIT_CPU, (min(ceil(time.process_time()) + CPU_SECONDS, most), most))


def answer(to: BinaryIO, data: bytes, max_bytes: int, max_pixels: int) -> None:
    try:
        picture = clean_picture(data, max_bytes, max_pixels)
    except PictureRefused as refusal:
        wire.send(to, {"refused": refusal.told()})
    except MemoryError:
        wire.send(to, {"failed": "memory"})
    else:
        wire.send(to, told(picture), [picture.jpeg, *picture.thumbnails.values(), *picture.webp.values()])


def told(picture: CleanPicture) -> dict[str, Any]:
    """The picture without its bytes, as JSON has it."""
    return {
        "width": picture.width,
        "height": picture.height,
        "captured_on": picture.captured_on.isoformat() if picture.captured_on else None,
        "quality": asdict(picture.quality),
    }


if __name__ == "__main__":
    serve()
