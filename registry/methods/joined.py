"""Several names or sentences as one, which still reads in the reader's language."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce

from registry.sentences import Sentence

AND = Sentence("%(first)s and %(second)s")
OR = Sentence("%(first)s or %(second)s")
COMMA = "%(first)s, %(second)s"
SEMICOLON = "%(first)s; %(second)s"
BLANK = "%(first)s %(second)s"


def joined(parts: Iterable[str], between: str = BLANK) -> str:
    """All of them with the same between each two; nothing for none.

    >>> joined(["gold", "silver", "black"], OR)
    'gold or silver or black'
    """
    return reduce(lambda first, second: Sentence(between, first=first, second=second), list(parts) or [""])
