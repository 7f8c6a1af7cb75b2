"""What makes a function an action: one transaction, whose journal lines are written at its end."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import transaction

from registry.models import journal_last

P = ParamSpec("P")
R = TypeVar("R")


def journalled(do: Callable[P, R]) -> Callable[P, R]:
    """All of it or nothing. An action called by another is part of it; the journal is locked once, and last."""

    @wraps(do)
    def done(*args: P.args, **kwargs: P.kwargs) -> R:
        with transaction.atomic(), journal_last():
            return do(*args, **kwargs)

    return done
