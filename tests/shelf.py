"""A release whose variants are written down as a small table, for tests of what only reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from registry.models import Adoption, CountLine, Release, State, Trait, Variant
from tests.factories import (
    ClaimFactory,
    ReleaseFactory,
    SightingFactory,
    StateFactory,
    TraitFactory,
    VariantFactory,
)

TRAITS: dict[str, dict[str, Any]] = {
    "wheels": {"name": "Front wheels", "kind": "wheel", "place": "front_wheel"},
    "crest": {"name": "Roof crest", "place": "roof"},
    "coat": {
        "name": "Clear coat",
        "kind": "finish",
        "place": "body",
        "how_to_inspect": "Tilt it in the light.",
    },
    "base": {"name": "Base text", "kind": "text", "place": "base", "seen_in_pack": False},
    "length": {"name": "Bed length", "kind": "measure", "place": "cargo", "seen_in_pack": False},
}
FOUR: dict[str, dict[str, str]] = {
    "First": {"wheels": "gold", "crest": "red", "base": "plain"},
    "Silver wheels": {"wheels": "silver", "crest": "red", "base": "plain"},
    "Dated base": {"wheels": "gold", "crest": "red", "base": "dated"},
    "Blue crest": {"wheels": "silver", "crest": "blue", "base": "plain"},
}


@dataclass
class Shelf:
    """`variants` by title, `traits` and `states` by key; what a variant does not name is not known of it."""

    rows: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: FOUR)
    release: Release = field(default_factory=ReleaseFactory)
    traits: dict[str, Trait] = field(default_factory=dict)
    states: dict[tuple[str, str], State] = field(default_factory=dict)
    variants: dict[str, Variant] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for title, said in self.rows.items():
            self.add(title, **said)

    def add(self, title: str, **said: str) -> Variant:
        variant: Variant = VariantFactory(release=self.release, title=title)
        for trait, state in said.items():
            named = self.state(trait, state)
            ClaimFactory(variant=variant, trait=named.trait, state=named)
        self.variants[title] = variant
        return variant

    def trait(self, key: str) -> Trait:
        if key not in self.traits:
            found = Trait.objects.filter(line=self.release.line, key=key).first()
            self.traits[key] = found or TraitFactory(line=self.release.line, key=key, **TRAITS.get(key, {}))
            Adoption.objects.create(release=self.release, trait=self.traits[key])
        return self.traits[key]

    def state(self, trait: str, key: str, **more: Any) -> State:
        if (trait, key) not in self.states:
            owner = self.trait(trait)
            found = State.objects.filter(trait=owner, key=key).first()
            self.states[trait, key] = found or StateFactory(trait=owner, key=key, name=key, **more)
        return self.states[trait, key]

    def count(self, **numbers: int) -> None:
        """One case counted in full: how many of each variant, by title with underscores; `none` of the known."""
        sighting = SightingFactory(release=self.release, scope="case", is_full_count=True, cases_compared=1)
        for title, n in numbers.items():
            kind = "none_known" if title == "none" else "variant"
            line = CountLine.objects.create(sighting=sighting, kind=kind, n=n)
            if kind == "variant":
                line.variants.add(self.variants[title.replace("_", " ")])

    def said(self, **states: str) -> dict[str, dict[str, str]]:
        """What was seen, as the API takes it."""
        return {trait: {"state": state} for trait, state in states.items()}
