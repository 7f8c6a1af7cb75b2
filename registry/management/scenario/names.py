"""What the scenario's short names stand for in the database, found by what people see: names, numbers, titles."""

from __future__ import annotations

from functools import cache
from typing import Any

from registry.models import (
    CAUSE_KEY,
    Casting,
    Claim,
    Dispute,
    Example,
    Line,
    Member,
    Pack,
    Release,
    State,
    Trait,
    Variant,
)

from .files import Scenario

MAIL_DOMAIN = "otterholm.example"


class Names:
    """Rows by the scenario's keys. What never changes is remembered; claims and disputes are read afresh."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.member = cache(self._member)
        self.casting = cache(self._casting)
        self.line = cache(self._line)
        self.release = cache(self._release)
        self.trait = cache(self._trait)
        self.state = cache(self._state)
        self.pack = cache(self._pack)
        self.variant = cache(self._variant)

    @staticmethod
    def address(member: str) -> str:
        return f"{member}@{MAIL_DOMAIN}"

    def _member(self, key: str) -> Member:
        return Member.objects.get(email=self.address(key))

    def _line(self, key: str) -> Line:
        return Line.objects.get(name=self._entry("lines", key)["name"])

    def _casting(self, key: str) -> Casting:
        return Casting.objects.current().get(name=self._entry("castings", key)["name"])

    def _pack(self, key: str) -> Pack:
        return Pack.objects.current().get(name=self._entry("packs", key)["name"])

    def _entry(self, part: str, key: str) -> Any:
        return next(spec for spec in self.scenario.files["catalogue"][part] if spec["key"] == key)

    def _release(self, key: str) -> Release:
        spec = self.scenario.releases[key]
        return Release.objects.get(casting=self.casting(spec["casting"]), number=spec["number"])

    def _trait(self, release: str, key: str) -> Trait:
        """A trait that the release has adopted, or the built-in cause."""
        if key == CAUSE_KEY:
            return Trait.objects.get(key=key, line=None, casting=None)
        return Trait.objects.get(adoptions__release=self.release(release), key=key)

    def _state(self, release: str, trait: str, key: str) -> State:
        return State.objects.get(trait=self.trait(release, trait), key=key)

    def _variant(self, key: str) -> Variant:
        found = self.find_variant(key)
        if found is None:
            raise Variant.DoesNotExist(f"{key} has not been reported yet")
        return found

    def find_variant(self, key: str) -> Variant | None:
        """The variant, if it has been reported."""
        spec = self.scenario.variants[key]
        number = self.scenario.releases[spec["release"]]["number"]
        return Variant.objects.filter(release__number=number, title=spec["title"]).first()

    def find_example(self, key: str) -> Example | None:
        """The example, if somebody has shown it: each was found in a case of its own."""
        spec = self.scenario.examples[key]
        release = self.release(self.scenario.variants[spec["variant"]]["release"])
        return Example.objects.filter(release=release, found_case=spec["found"]["case"]).first()

    def example(self, key: str) -> Example:
        found = self.find_example(key)
        if found is None:
            raise Example.DoesNotExist(f"{key} has not been shown yet")
        return found

    def claim(self, variant: str, trait: str) -> Claim:
        """The claim that stands in the record now."""
        row = self.variant(variant)
        return Claim.objects.open().get(
            variant=row, trait=self.trait(self.scenario.variants[variant]["release"], trait)
        )

    def dispute(self, variant: str, trait: str, by: str) -> Dispute:
        """The latest dispute that the member opened on that detail."""
        row = self.find_dispute(variant, trait, by)
        if row is None:
            raise Dispute.DoesNotExist(f"{by} has not disputed {trait} of {variant}")
        return row

    def find_dispute(self, variant: str, trait: str, by: str) -> Dispute | None:
        said = Dispute.objects.filter(claim__variant=self.variant(variant), opened_by=self.member(by))
        about = self.trait(self.scenario.variants[variant]["release"], trait)
        return said.filter(claim__trait=about).order_by("-opened_at").first()
