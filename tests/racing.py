"""Doing several things at the same moment, each in a thread with a connection of its own.

A few rounds in the ordinary run; `RACE_ROUNDS=200` in the environment for a long run.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

from django.db import connection

from registry.errors import RegistryError

ROUNDS = int(os.environ.get("RACE_ROUNDS", "5"))


def at_once(deeds: Iterable[Callable[[], Any]]) -> list[Any]:
    """Do all of them at the same moment: what each answered, or the refusal it met."""
    started = list(deeds)
    barrier = Barrier(len(started))

    def do(deed: Callable[[], Any]) -> Any:
        try:
            barrier.wait(timeout=60)
            return deed()
        except RegistryError as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(len(started)) as pool:
        return list(pool.map(do, started))


def kinds(answers: list[Any]) -> Counter[str]:
    """How many of each refusal, and how many went through."""
    return Counter(type(a).__name__ if isinstance(a, RegistryError) else "done" for a in answers)
