"""A few decoding processes, started when first needed and kept; each serves one picture at a time.

A process is started afresh (never forked from this one, whose threads may hold locks) in about a third of a second, so
it is kept for many pictures. After any trouble it is ended, so that no answer can reach whoever asks next.
"""

from __future__ import annotations

import atexit
import hashlib
import logging
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from queue import Empty, LifoQueue
from threading import BoundedSemaphore, Timer
from typing import Any, BinaryIO

from registry.methods.photo import CleanPicture, PictureRefused
from registry.methods.photo_quality import ADVICE, Quality
from registry.sentences import Sentence

from . import wire
from .limits import AT_ONCE, MOST_ANSWER, PICTURES, WAIT_SECONDS, WAITING, WALL_SECONDS

ROOT = Path(__file__).resolve().parents[2]
COMMAND = (sys.executable, "-m", "registry.intake.child")
_ENVIRONMENT = {"OPENBLAS_NUM_THREADS": "1", "PYTHONUTF8": "1"}  # and no secret of this process
_TOO_HEAVY = Sentence("The picture takes too much to open. Save it smaller, as a plain JPEG, and send that.")

log = logging.getLogger(__name__)


class DecoderFailed(Exception):
    """The process ended while it had the picture, or gave no sensible answer. The message says what to do."""


class DecoderBusy(Exception):
    """Others' pictures are being decoded, and the wait was long."""


class Worker:
    """One process. Errors on starting: DecoderFailed, with the cause in the log."""

    def __init__(self, command: tuple[str, ...] = COMMAND) -> None:
        self.process = subprocess.Popen(  # noqa: S603
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=ROOT,
            env=_ENVIRONMENT,
            start_new_session=True,  # Ctrl-C in a terminal is for the parent, which then closes the pipe
        )
        assert self.process.stdin
        assert self.process.stdout
        self.to: BinaryIO = self.process.stdin  # type: ignore[assignment]
        self.source: BinaryIO = self.process.stdout  # type: ignore[assignment]
        self.left = PICTURES
        try:
            self.talk(lambda: wire.receive(self.source, 0))
        except DecoderFailed as fault:
            self.end()
            log.error("the decoding process %s does not start", command)
            raise DecoderFailed(
                Sentence("Pictures cannot be opened here just now. Try again later.")
            ) from fault

    def ask(self, data: bytes, max_bytes: int, max_pixels: int) -> wire.Message:
        def exchange() -> wire.Message | None:
            wire.send(self.to, {"max_bytes": max_bytes, "max_pixels": max_pixels}, [data])
            return wire.receive(self.source, MOST_ANSWER)

        self.left -= 1
        return self.talk(exchange)

    def talk(self, exchange: Callable[[], wire.Message | None]) -> wire.Message:
        """What the process answers. Whoever takes too long is killed, which ends the waiting."""
        clock = Timer(WALL_SECONDS, self.process.kill)
        clock.daemon = True
        clock.start()
        try:
            heard = exchange()
        except (wire.Garbled, OSError) as fault:
            raise DecoderFailed(_TOO_HEAVY) from fault
        finally:
            clock.cancel()
        if heard is None:
            raise DecoderFailed(_TOO_HEAVY)
        return heard

    def end(self) -> None:
        self.process.kill()
        for pipe in (self.to, self.source):
            try:
                pipe.close()
            except OSError:  # what was still to be written has no reader any more
                continue
        self.process.wait()

    @property
    def is_usable(self) -> bool:
        return self.left > 0 and self.process.poll() is None


class Decoder:
    """Decodes in at most `at_once` processes; two more may wait, so that pages are still served."""

    def __init__(self, at_once: int = AT_ONCE, command: tuple[str, ...] = COMMAND) -> None:
        self.command = command
        self.places = BoundedSemaphore(at_once + WAITING)
        # Last in, first out: a second process is started only when two pictures come at once.
        self.workers: LifoQueue[Worker | None] = LifoQueue()
        for _ in range(at_once):
            self.workers.put(None)

    def decode(self, data: bytes, max_bytes: int, max_pixels: int) -> CleanPicture:
        """As methods.photo.clean_picture, elsewhere. Errors: PictureRefused, DecoderFailed, DecoderBusy."""
        if not self.places.acquire(blocking=False):
            raise DecoderBusy
        try:
            return self.in_turn(data, max_bytes, max_pixels)
        finally:
            self.places.release()

    def in_turn(self, data: bytes, max_bytes: int, max_pixels: int) -> CleanPicture:
        try:
            worker = self.workers.get(timeout=WAIT_SECONDS)
        except Empty:
            raise DecoderBusy from None
        try:
            worker = self.usable(worker)
            head, pieces = worker.ask(data, max_bytes, max_pixels)
            picture = picture_from(head, pieces)
        except PictureRefused:
            raise
        except BaseException:
            if worker is not None:
                worker.end()
                worker = None
            raise
        finally:
            self.workers.put(worker)
        return picture

    def usable(self, worker: Worker | None) -> Worker:
        """The worker, or a fresh one in its place."""
        if worker is not None and worker.is_usable:
            return worker
        if worker is not None:
            worker.end()
        return Worker(self.command)

    def close(self) -> None:
        """End the processes that are idle."""
        idle = [self.workers.get() for _ in range(self.workers.qsize())]
        for worker in idle:
            if worker is not None:
                worker.end()
            self.workers.put(None)


def picture_from(head: dict[str, Any], pieces: list[bytes]) -> CleanPicture:
    """The answer, believed as little as the picture was: its digest is taken here.

    Errors: PictureRefused; DecoderFailed where it is no answer.
    """
    if "refused" in head:
        try:
            refusal = PictureRefused.heard(head["refused"])
        except ValueError as fault:
            raise DecoderFailed(_TOO_HEAVY) from fault
        raise refusal
    try:
        jpeg, px800, px320, *webp = pieces
        day = head["captured_on"]
        return CleanPicture(
            jpeg=jpeg,
            digest=hashlib.sha256(jpeg).hexdigest(),
            width=int(head["width"]),
            height=int(head["height"]),
            captured_on=date.fromisoformat(day) if day else None,
            quality=quality_from(head["quality"]),
            thumbnails={"800": px800, "320": px320},
            webp=dict(zip(("1600", "800", "320"), webp, strict=True)),
        )
    except (KeyError, ValueError, TypeError) as fault:
        raise DecoderFailed(_TOO_HEAVY) from fault


def quality_from(said: dict[str, Any]) -> Quality:
    numbers = {name: int(said[name]) for name in ("sharpness", "exposure", "dark", "burnt")}
    return Quality(**numbers, advice=tuple(code for code in said["advice"] if code in ADVICE))


_decoder = Decoder()


def decode(data: bytes, max_bytes: int, max_pixels: int) -> CleanPicture:
    """With the processes that all of this process share."""
    return _decoder.decode(data, max_bytes, max_pixels)


def _begin_anew() -> None:
    """In a process forked from this one: the pipes are the parent's, and so are the answers that come through them."""
    global _decoder
    _decoder = Decoder()


os.register_at_fork(after_in_child=_begin_anew)
atexit.register(lambda: _decoder.close())
