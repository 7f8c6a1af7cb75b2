"""The pocket sheet of a release: a printed key, and all that a phone needs to identify without a network."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from registry.methods import key
from registry.methods.checks import minimal
from registry.methods.identify.plain import table_as_plain
from registry.methods.identify.wording import NEEDS, SENTENCES
from registry.models import Edition, Place, VariantStanding
from registry.sentences import Sentence, said

from .checks import MOST_COMPARED, checks_of
from .known import Known

MOST_STEPS = 60


@dataclass(frozen=True)
class PrintedKey:
    """`lines`: one numbered step each. `alike`: sentences on pairs that its details leave alike."""

    lines: list[str]
    alike: list[str]


def latest_list() -> int | None:
    """The number of the newest edition. Queries: 1."""
    return Edition.objects.order_by("-number").values_list("number", flat=True).first()


def printed_key(known: Known, *, in_pack: bool = False) -> PrintedKey:
    """The steps that tell the variants apart, by the fewest details; `in_pack`: only what is seen in the pack."""
    table = known.table
    only: Sequence[bool] = [trait.seen_in_pack or not in_pack for trait in table.traits]
    alike: list[str] = []
    if len(known.variants) <= MOST_COMPARED:
        fewest = set(minimal(table, only=only).traits)
        only = [trait.key in fewest for trait in table.traits]
        alike = [pair["words"] for pair in checks_of(known, in_pack=in_pack)["alike"]]
    titles = {listed.id: listed.title for listed in known.variants.values()}
    built = key.build(table, only=only, prior=known.prior, most_steps=MOST_STEPS)
    return PrintedKey(list(key.lines(built, table, titles)), alike)


def pocket_data(
    known: Known, release: str, latest: int | None, crops: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """Table, priors and words, as the script reads them: it answers as this program does, in the reader's language.

    `crops`: by state, the address of a small picture of it, which the script keeps as well.
    """
    details = {
        detail.id: {
            "label": detail.label,
            "place": beginning(str(Place(detail.place).label)),
            "how_to_inspect": detail.how_to_inspect,
            "states": {state: detail.states[state] for state in detail.listed},
        }
        for detail in known.details.values()
        if detail.listed
    }
    variants = {
        listed.id: {"title": listed.title, "standing": str(VariantStanding(listed.standing).label)}
        for listed in known.variants.values()
    }
    return {
        "release": release,
        "list": latest,
        "table": table_as_plain(known.table),
        "options": {
            "prior": known.prior and list(known.prior),
            "not_listed": known.not_listed,
            "confusion": known.confusion,
        },
        "details": details,
        "variants": variants,
        "crops": dict(crops or {}),
        "words": {
            "sentences": {name: for_script(sentence) for name, sentence in SENTENCES.items()},
            "needs": {need.value: said(words) for need, words in NEEDS.items()},
        },
    }


def beginning(words: str) -> str:
    """To begin a sentence with."""
    return words[:1].upper() + words[1:]


def for_script(sentence: Sentence) -> str:
    """`Look next at {detail}.`"""
    return re.sub(r"%\((\w+)\)s", r"{\1}", said(sentence))
