"""What is said of two variants that stay alike."""

from __future__ import annotations

from collections.abc import Mapping

from registry.methods.identify.table import Table
from registry.sentences import Sentence, counted, listed

from .pairs import Pair


def pair_words(table: Table, pair: Pair, titles: Mapping[str, str]) -> Sentence:
    """ "Gold wheels and Dated base cannot be told apart by these checks. Base text tells them apart." """
    first, second = titles.get(pair.first, pair.first), titles.get(pair.second, pair.second)
    if pair.excluded:
        return counted(
            "%(first)s and %(second)s cannot be told apart by these checks. %(details)s tells them apart.",
            "%(first)s and %(second)s cannot be told apart by these checks. %(details)s tell them apart.",
            len(pair.excluded),
            first=first,
            second=second,
            details=_labels(table, pair.excluded),
        )
    if pair.unknown:
        return counted(
            "Nothing known tells %(first)s and %(second)s apart. %(details)s might, once known on both.",
            "Nothing known tells %(first)s and %(second)s apart. %(details)s might, once known on both.",
            len(pair.unknown),
            first=first,
            second=second,
            details=_labels(table, pair.unknown),
        )
    return Sentence(
        "%(first)s and %(second)s are the same in every detail known here.", first=first, second=second
    )


def _labels(table: Table, keys: tuple[str, ...]) -> str:
    return listed(table.traits[table.position(key)].label for key in keys)
