"""The sentences of an identification, for pages and for the pocket sheet."""

from __future__ import annotations

from registry.sentences import AND, Sentence, inside, joined

from .next_check import Advice, Check
from .ranking import Ground, Identification
from .table import Need, Table

NEEDS = {
    Need.PACK: Sentence("the pack"),
    Need.LOOSE: Sentence("the item out of its pack"),
    Need.RAKING_LIGHT: Sentence("a light from the side"),
    Need.MAGNIFIER: Sentence("a magnifier"),
    Need.BASE_VISIBLE: Sentence("a view of the base"),
}

SENTENCES = {
    "next": Sentence("Look next at %(detail)s."),
    "later": Sentence("With %(missing)s, %(detail)s would tell more."),
    "nothing_left": Sentence("Everything that can be looked at now has been looked at."),
    "settled": Sentence("One more check would not change the answer."),
    "little_to_gain": Sentence("No further check would tell much."),
    "nobody": Sentence("No variant is listed here yet."),
    "nothing_seen": Sentence("Nothing has been seen yet, so this is only how often each is found."),
    "none_fits": Sentence(
        "No listed variant has all of this: it may be a new one, or one answer may be a slip."
    ),
    "one_fits": Sentence("One listed variant has all of this."),
    "several_fit": Sentence("%(n)s listed variants may have all of this."),
    "for": Sentence("%(detail)s, %(state)s on this one: speaks for it."),
    "against": Sentence("%(detail)s, %(state)s on this one: speaks against it."),
    "neither": Sentence("%(detail)s, %(state)s on this one: says little either way."),
    "unknown_for": Sentence("%(detail)s, not known for this one: speaks for it."),
    "unknown_against": Sentence("%(detail)s, not known for this one: speaks against it."),
    "unknown_neither": Sentence("%(detail)s, not known for this one: says little either way."),
}
"""Every sentence, so that the pocket sheet's script says the same without a network."""


def say(name: str, **parts: object) -> Sentence:
    return Sentence(SENTENCES[name].one, **parts)


def ground_words(table: Table, ground: Ground) -> str:
    """One sentence on one observation: "Front wheels, silver on this one: speaks against it." """
    trait = table.traits[table.position(ground.trait)]
    if not ground.state:
        return say(f"unknown_{ground.speaks}", detail=trait.label)
    state = trait.state_label(trait.index_of(ground.state))
    return say(ground.speaks, detail=trait.label, state=state)


def summary_words(answer: Identification) -> str:
    """What holds of the listed variants as a whole."""
    if not answer.candidates:
        return SENTENCES["nobody"]
    if not answer.learnt:
        return SENTENCES["nothing_seen"]
    fits = {0: "none_fits", 1: "one_fits"}.get(answer.fitting, "several_fit")
    return say(fits, n=answer.fitting) if fits == "several_fit" else SENTENCES[fits]


def advice_words(table: Table, advice: Advice) -> str:
    """What to do now, and what would help if more were at hand."""
    if advice.next is not None:
        now = say("next", detail=check_label(table, advice.next))
    else:
        now = SENTENCES[advice.reason]
    if advice.later is None:
        return now
    missing = joined([NEEDS[need] for need in Need if need in advice.missing], AND)
    return joined([now, say("later", missing=missing, detail=check_label(table, advice.later))])


def check_label(table: Table, check: Check) -> str:
    return inside(table.traits[table.position(check.trait)].label)
