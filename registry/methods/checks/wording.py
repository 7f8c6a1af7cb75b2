"""What is said of two variants that stay alike."""

from __future__ import annotations

from collections.abc import Mapping

from registry.methods.identify.table import Table

from .pairs import Pair


def pair_words(table: Table, pair: Pair, titles: Mapping[str, str]) -> str:
    """ "Gold wheels and Dated base cannot be told apart by these checks. Base text tells them apart." """
    names = f"{titles.get(pair.first, pair.first)} and {titles.get(pair.second, pair.second)}"
    if pair.excluded:
        told = f"{_labels(table, pair.excluded)} {'tells' if len(pair.excluded) == 1 else 'tell'} them apart."
        return f"{names} cannot be told apart by these checks. {told}"
    if pair.unknown:
        might = f"{_labels(table, pair.unknown)} might, once known on both."
        return f"Nothing known tells {names} apart. {might}"
    return f"{names} are the same in every detail known here."


def _labels(table: Table, keys: tuple[str, ...]) -> str:
    labels = [table.traits[table.position(key)].label for key in keys]
    return labels[0] if len(labels) == 1 else f"{', '.join(labels[:-1])} and {labels[-1]}"
