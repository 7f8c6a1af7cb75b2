"""What a sighting may say, checked without a query for each, so that a file of thousands costs no more than one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from registry.errors import IdentityMoved, InvalidField
from registry.models import (
    Condition,
    CountKind,
    CountLine,
    Example,
    Member,
    Pack,
    PackVersion,
    PickedOver,
    Release,
    Scope,
    Sighting,
    Trait,
    Variant,
)
from registry.queries.statements import begin_of
from registry.sentences import Sentence

from . import wording

MOST_LINES = 60
MOST_COUNTED = 100_000
NAMES = {
    CountKind.VARIANT: (1, 1, Sentence("Name one variant.")),
    CountKind.ONE_OF_THESE: (2, 50, Sentence("Name the two or more variants it may be.")),
    CountKind.NONE_KNOWN: (0, 0, Sentence("Name no variant.")),
    CountKind.COULD_NOT_TELL: (0, 0, Sentence("Name no variant.")),
}
"""How few and how many variants a line of each kind names, and the remedy where it does not."""


@dataclass(frozen=True)
class Place:
    """What a sighting of one release is checked against: its first possible day, and the traits it has adopted."""

    release: Release
    begin: date
    adopted: frozenset[int]

    @classmethod
    def of(cls, release: Release) -> Place:
        """Queries: 3."""
        return cls(release, begin_of(release), frozenset(release.adoptions.values_list("trait", flat=True)))


@dataclass(frozen=True)
class Seen:
    """A sighting that was checked and is kept nowhere yet, with its lines and the traits that could be seen."""

    sighting: Sighting
    lines: list[tuple[CountLine, list[Variant]]]
    traits: list[Trait]


def checked(
    place: Place,
    by: Member,
    at: datetime,
    *,
    scope: str,
    seen_on: date,
    count_lines: Sequence[dict[str, Any]],
    is_full_count: bool = False,
    picked_over: str = PickedOver.UNKNOWN,
    cases_compared: int | None = None,
    total: int | None = None,
    no_difference: bool = False,
    is_offer: bool = False,
    pack: Pack | None = None,
    pack_version: PackVersion | None = None,
    example: Example | None = None,
    country: str = "",
    region: str = "",
    source: str = "",
    note: str = "",
    key: str = "",
    traits_seen: Sequence[Trait] = (),
) -> Seen:
    """What was said, checked without a query.

    `count_lines`: {kind, variants, condition, n} each; kind `variant` names one variant, `one_of_these` several
    candidates, `none_known` and `could_not_tell` none. Errors: InvalidField, InTheFuture, IdentityMoved.
    """
    where = wording.coarse_place(country, region)
    sighting = Sighting(
        by=by,
        release=place.release,
        scope=wording.choice("scope", scope, Scope),
        is_full_count=wording.truth("is_full_count", is_full_count),
        picked_over=wording.choice("picked_over", picked_over, PickedOver),
        cases_compared=wording.whole_if_given("cases_compared", cases_compared, 1, 10_000),
        total=wording.whole_if_given("total", total, 1, MOST_COUNTED),
        no_difference=wording.truth("no_difference", no_difference),
        is_offer=wording.truth("is_offer", is_offer),
        pack=pack,
        pack_version=pack_version,
        example=example,
        seen_on=day_seen(seen_on, place, at),
        country=where[0],
        region=where[1],
        source=wording.line("source", source, 200, required=False),
        note=wording.line("note", note, 300, required=False),
        key=wording.line("key", key, 60, required=False),
        added_at=at,
    )
    check_sighting(sighting)
    lines = [
        checked_line(f"count_lines[{n}]", said, sighting) for n, said in enumerate(checked_list(count_lines))
    ]
    check_sums(sighting, lines)
    return Seen(sighting, lines, adopted_traits(place, traits_seen))


def day_seen(seen_on: date | None, place: Place, at: datetime) -> date:
    day = wording.past_day("seen_on", seen_on, at)
    if day is None:
        raise InvalidField("seen_on", None, Sentence("Say on which day it was seen."))
    if day < place.begin:
        raise InvalidField(
            "seen_on",
            day.isoformat(),
            Sentence(
                "Nothing of %(release)s was made before %(begin)s.", release=place.release, begin=place.begin
            ),
        )
    return day


def check_sighting(sighting: Sighting) -> None:
    if sighting.cases_compared is not None and not sighting.is_full_count:
        raise InvalidField(
            "cases_compared", sighting.cases_compared, Sentence("Only a full count compares cases.")
        )
    if sighting.total is not None and not sighting.is_full_count:
        raise InvalidField("total", sighting.total, Sentence("Only a full count has a total."))
    if sighting.no_difference and not sighting.is_full_count:
        raise InvalidField(
            "no_difference", True, Sentence("Only where all were compared can no difference be seen.")
        )
    if sighting.example:
        if sighting.scope not in (Scope.ITEM, Scope.SEALED_PACK):
            raise InvalidField(
                "scope", sighting.scope, Sentence("An example is one item or one sealed pack.")
            )
        if sighting.example.release_id != sighting.release_id:
            raise InvalidField(
                "example",
                sighting.example.public_id,
                Sentence("Name an example of %(release)s.", release=sighting.release),
            )
    if sighting.pack_version and sighting.pack and sighting.pack_version.pack_id != sighting.pack_id:
        raise InvalidField(
            "pack_version",
            sighting.pack_version.name,
            Sentence("Choose a version of %(pack)s.", pack=sighting.pack),
        )


def checked_list(count_lines: object) -> Sequence[dict[str, Any]]:
    if not isinstance(count_lines, (list, tuple)) or not count_lines:
        raise InvalidField("count_lines", count_lines, Sentence("Say what was seen, in at least one line."))
    if len(count_lines) > MOST_LINES:
        raise InvalidField(
            "count_lines",
            len(count_lines),
            Sentence("Send at most %(most)s lines.", most=MOST_LINES),
        )
    return count_lines


def checked_line(where: str, said: object, sighting: Sighting) -> tuple[CountLine, list[Variant]]:
    if not isinstance(said, dict):
        raise InvalidField(where, said, Sentence("Send an object with kind, variants, condition and n."))
    kind = wording.choice(f"{where}.kind", said.get("kind", CountKind.VARIANT), CountKind)
    variants = list(dict.fromkeys(said.get("variants") or ()))
    least, most, remedy = NAMES[kind]
    if not least <= len(variants) <= most:
        raise InvalidField(f"{where}.variants", [v.public_id for v in variants], remedy)
    for variant in variants:
        if variant.is_gone:
            gone = Sentence(
                "%(variant)s was merged, split or struck. Name another.", variant=repr(variant.title)
            )
            raise IdentityMoved(gone, field=f"{where}.variants")
        if sighting.scope in (Scope.ITEM, Scope.PEG) and variant.release_id != sighting.release_id:
            raise InvalidField(
                f"{where}.variants",
                variant.public_id,
                Sentence("Choose a variant of %(release)s.", release=sighting.release),
            )
    condition = said.get("condition") or ""
    if condition:
        condition = wording.choice(f"{where}.condition", condition, Condition)
    n = wording.whole(f"{where}.n", said.get("n", 1), 1, MOST_COUNTED)
    return CountLine(kind=kind, condition=condition, n=n), variants


def check_sums(sighting: Sighting, lines: Sequence[tuple[CountLine, list[Variant]]]) -> None:
    """A full count adds up, comes from no more cases than items, and without a difference is all of one kind."""
    counted = sum(line.n for line, _ in lines)
    if sighting.total is not None and sighting.total != counted:
        raise InvalidField(
            "total",
            sighting.total,
            Sentence(
                "Your lines add up to %(counted)s, not to %(total)s. Count what is left as could not tell.",
                counted=counted,
                total=sighting.total,
            ),
        )
    if sighting.cases_compared and sighting.cases_compared > counted:
        raise InvalidField(
            "cases_compared",
            sighting.cases_compared,
            Sentence(
                "%(counted)s items cannot come from %(cases)s cases.",
                counted=counted,
                cases=sighting.cases_compared,
            ),
        )
    told = {
        (line.kind, *(variant.pk for variant in variants))
        for line, variants in lines
        if line.kind != CountKind.COULD_NOT_TELL
    }
    if sighting.no_difference and (len(told) != 1 or len(next(iter(told))) > 2):
        raise InvalidField(
            "no_difference", True, Sentence("Without a difference, all that you could tell are of one kind.")
        )


def adopted_traits(place: Place, traits: Sequence[Trait]) -> list[Trait]:
    for trait in traits:
        if trait.pk not in place.adopted:
            raise InvalidField(
                "traits_seen",
                trait.name,
                Sentence("%(release)s has not adopted this detail.", release=place.release),
            )
    return list(dict.fromkeys(traits))
