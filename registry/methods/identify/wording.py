"""The sentences of an identification, for pages and for the pocket sheet."""

from __future__ import annotations

from .next_check import Advice, Check
from .ranking import Ground, Identification
from .table import Need, Table

NEEDS = {
    Need.PACK: "the pack",
    Need.LOOSE: "the item out of its pack",
    Need.RAKING_LIGHT: "a light from the side",
    Need.MAGNIFIER: "a magnifier",
    Need.BASE_VISIBLE: "a view of the base",
}

_STOPPING = {
    "nothing_left": "Everything that can be looked at now has been looked at.",
    "settled": "One more check would not change the answer.",
    "little_to_gain": "No further check would tell much.",
}


def ground_words(table: Table, ground: Ground) -> str:
    """One sentence on one observation: "Front wheels, silver on this one: speaks against it." """
    trait = table.traits[table.position(ground.trait)]
    if not ground.state:
        return f"{trait.label}, not known for this one: {_verdict(ground)}."
    return (
        f"{trait.label}, {trait.state_label(trait.index_of(ground.state))} on this one: {_verdict(ground)}."
    )


def _verdict(ground: Ground) -> str:
    if ground.speaks == "neither":
        return "says little either way"
    return f"speaks {ground.speaks} it"


def summary_words(answer: Identification) -> str:
    """What holds of the listed variants as a whole."""
    if not answer.candidates:
        return "No variant is listed here yet."
    if not answer.learnt:
        return "Nothing has been seen yet, so this is only how often each is found."
    if not answer.fitting:
        return "No listed variant has all of this: it may be a new one, or one answer may be a slip."
    if answer.fitting == 1:
        return "One listed variant has all of this."
    return f"{answer.fitting} listed variants may have all of this."


def advice_words(table: Table, advice: Advice) -> str:
    """What to do now, and what would help if more were at hand."""
    if advice.next is not None:
        now = f"Look next at {check_label(table, advice.next)}."
    else:
        now = _STOPPING[advice.reason]
    if advice.later is None:
        return now
    missing = " and ".join(NEEDS[need] for need in Need if need in advice.missing)
    return f"{now} With {missing}, {check_label(table, advice.later)} would tell more."


def check_label(table: Table, check: Check) -> str:
    """ "Front wheels" becomes "front wheels"; "GTIN on the card" stays."""
    label = table.traits[table.position(check.trait)].label
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]
