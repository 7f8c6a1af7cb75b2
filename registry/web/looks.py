"""What somebody says of an item on the identify page: kept in its address, to be shared, and to need no script.

`?held=pack&light=yes&TRAIT=STATE`: a trait's public id, and a state's or one of the words below, or a colour that was
measured in a photograph, `lab.L.a.b.ERROR` in hundredths.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from registry.methods.colour import colour_name
from registry.methods.identify import EVERYTHING, Need
from registry.models import Mark
from registry.queries.identify import Detail, Known
from registry.sentences import said as in_words

WORDS = {"none": _("none of these"), "unsure": _("not sure"), "hidden": _("not visible")}
OBSERVED: Mapping[str, Mapping[str, Any]] = {
    "none": {"none_of_these": True},
    "unsure": {"not_sure": True},
    "hidden": {"not_visible": True},
}
HELD = (("pack", _("in the blister or box")), ("loose", _("loose, in hand")))
AIDS = (("light", Need.RAKING_LIGHT, _("a light from the side")), ("glass", Need.MAGNIFIER, _("a magnifier")))
MEASURED = re.compile(r"lab\.([0-9]{1,5})\.(-?[0-9]{1,5})\.(-?[0-9]{1,5})\.([0-9]{1,4})")


@dataclass(frozen=True)
class Colour:
    """A colour that was measured: CIELAB (D50) and its standard error, CIEDE2000."""

    lab: tuple[float, float, float]
    error: float

    @property
    def words(self) -> str:
        named = {"colour": in_words(colour_name(self.lab)), "error": f"{self.error:.1f}"}
        return gettext("as measured: %(colour)s, give or take ΔE %(error)s") % named


def measured_word(lab: tuple[int, int, int], error: int) -> str:
    """A measured colour as an address holds it; all in hundredths."""
    return f"lab.{lab[0]}.{lab[1]}.{lab[2]}.{max(error, 1)}"


def measured(word: str) -> Colour | None:
    """The colour that the word means, if it means one."""
    match = MEASURED.fullmatch(word)
    if match is None:
        return None
    light, a, b, error = (int(part) / 100 for part in match.groups())
    return Colour((light, a, b), error) if light <= 100 and error > 0 else None


def observed_as(value: str) -> Mapping[str, Any]:
    """As identify takes it."""
    if colour := measured(value):
        return {"lab": colour.lab, "error": colour.error}
    return OBSERVED.get(value, {"state": value})


@dataclass(frozen=True)
class Look:
    """`said`: by detail, the state or the word chosen. Where nothing is said of what is at hand, all is."""

    said: Mapping[str, str] = field(default_factory=dict)
    held: str = "loose"
    aids: tuple[str, ...] = tuple(name for name, _, _ in AIDS)

    @classmethod
    def read(cls, query: Mapping[str, str], known: Known) -> Look:
        """From an address; what it names and is not of this scope is passed over."""
        said = {}
        for name, value in query.items():
            detail = known.details.get(name)
            if detail and detail.listed and (value in WORDS or value in detail.states or measured(value)):
                said[name] = value
        held = query.get("held", "")
        if held not in dict(HELD):
            return cls(said)
        return cls(said, held, tuple(name for name, _, _ in AIDS if query.get(name) == "yes"))

    @property
    def can(self) -> frozenset[Need]:
        """What can be looked at now: an item in its pack shows neither base nor what the pack hides."""
        lacking = {need for name, need, _ in AIDS if name not in self.aids}
        hidden = {Need.LOOSE, Need.BASE_VISIBLE} if self.held == "pack" else set()
        return EVERYTHING - lacking - hidden

    @property
    def observed(self) -> dict[str, Mapping[str, Any]]:
        return {trait: observed_as(value) for trait, value in self.said.items()}

    @property
    def states(self) -> list[str]:
        """The states that were seen."""
        return [value for value in self.said.values() if value not in WORDS and not measured(value)]

    def without(self, trait: str) -> str:
        """The query that takes one answer back."""
        aids = {name: "yes" for name in self.aids}
        return urlencode({"held": self.held} | aids | {t: v for t, v in self.said.items() if t != trait})


@dataclass(frozen=True)
class Choice:
    value: str
    name: str
    is_chosen: bool
    mark: Mark | None = None


@dataclass(frozen=True)
class Card:
    """One detail as the page asks about it."""

    detail: Detail
    states: list[Choice]
    words: list[Choice]
    sample: Mark | None = None
    take_back: str = ""

    @property
    def answer(self) -> str:
        return next((choice.name for choice in (*self.states, *self.words) if choice.is_chosen), "")


def card(detail: Detail, look: Look, marks: Mapping[str, Mark]) -> Card:
    """States that a variant here has, then the words; a chosen state that none here has is offered as well."""
    chosen = look.said.get(detail.id, "")
    colour = measured(chosen)
    own = [Choice(chosen, colour.words, True)] if colour else []
    states = [*detail.listed, *([chosen] if chosen in detail.states and chosen not in detail.listed else [])]
    sample = next((marks[state] for state in detail.listed if state in marks), None)
    return Card(
        detail,
        own + [Choice(state, detail.states[state], state == chosen, marks.get(state)) for state in states],
        [Choice(word, str(words), word == chosen) for word, words in WORDS.items()],
        sample,
        look.without(detail.id) if chosen else "",
    )
