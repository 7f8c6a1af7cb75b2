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

SENTENCES = {
    "next": "Look next at {detail}.",
    "later": "With {missing}, {detail} would tell more.",
    "nothing_left": "Everything that can be looked at now has been looked at.",
    "settled": "One more check would not change the answer.",
    "little_to_gain": "No further check would tell much.",
    "nobody": "No variant is listed here yet.",
    "nothing_seen": "Nothing has been seen yet, so this is only how often each is found.",
    "none_fits": "No listed variant has all of this: it may be a new one, or one answer may be a slip.",
    "one_fits": "One listed variant has all of this.",
    "several_fit": "{n} listed variants may have all of this.",
    "for": "{detail}, {state} on this one: speaks for it.",
    "against": "{detail}, {state} on this one: speaks against it.",
    "neither": "{detail}, {state} on this one: says little either way.",
    "unknown_for": "{detail}, not known for this one: speaks for it.",
    "unknown_against": "{detail}, not known for this one: speaks against it.",
    "unknown_neither": "{detail}, not known for this one: says little either way.",
}
"""Every sentence, so that the pocket sheet's script says the same without a network."""


def ground_words(table: Table, ground: Ground) -> str:
    """One sentence on one observation: "Front wheels, silver on this one: speaks against it." """
    trait = table.traits[table.position(ground.trait)]
    if not ground.state:
        return SENTENCES[f"unknown_{ground.speaks}"].format(detail=trait.label)
    state = trait.state_label(trait.index_of(ground.state))
    return SENTENCES[ground.speaks].format(detail=trait.label, state=state)


def summary_words(answer: Identification) -> str:
    """What holds of the listed variants as a whole."""
    if not answer.candidates:
        return SENTENCES["nobody"]
    if not answer.learnt:
        return SENTENCES["nothing_seen"]
    fits = {0: "none_fits", 1: "one_fits"}.get(answer.fitting, "several_fit")
    return SENTENCES[fits].format(n=answer.fitting)


def advice_words(table: Table, advice: Advice) -> str:
    """What to do now, and what would help if more were at hand."""
    if advice.next is not None:
        now = SENTENCES["next"].format(detail=check_label(table, advice.next))
    else:
        now = SENTENCES[advice.reason]
    if advice.later is None:
        return now
    missing = " and ".join(NEEDS[need] for need in Need if need in advice.missing)
    later = SENTENCES["later"].format(missing=missing, detail=check_label(table, advice.later))
    return f"{now} {later}"


def check_label(table: Table, check: Check) -> str:
    """ "Front wheels" becomes "front wheels"; "GTIN on the card" stays."""
    label = table.traits[table.position(check.trait)].label
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]
