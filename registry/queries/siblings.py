"""The variants of one release, with what became of those that were merged into others, and what was seen of them.

How common they are, their order and their table are read from the same rows: each kind is asked for once.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

from django.db.models import Exists, F, OuterRef

from registry.models import (
    GONE,
    AssortmentItem,
    CaseContent,
    Claim,
    CountKind,
    CountLine,
    PackContent,
    PackKind,
    Release,
    Variant,
    VariantStanding,
)
from registry.models.nested import NestedRows

EARLIEST = 3
"""Members whose first sighting of a variant in a country is taken, so that one slip of the pen is not the last word."""
SET_PACKS = (PackKind.TWO_PACK, PackKind.PLAY_SET, PackKind.MULTI_PACK)


class Look(NamedTuple):
    """What one member saw of a variant in one place on one day."""

    variant: int
    country: str
    day: date
    by: int
    region: str
    is_full_count: bool


class FirstSighting(NamedTuple):
    """By one member, of a variant in a country; `nth` of those."""

    variant: int
    country: str
    day: date
    by: int
    nth: int


@dataclass(frozen=True)
class Siblings:
    """`listed` still stand for themselves, in order of appearance; `standing_for` leads from each key to one of them.

    A variant that was struck or split stands for none. `per_case`: assortment, variant, how many a case holds.
    """

    release: Release
    listed: tuple[Variant, ...]
    standing_for: dict[int, Variant]
    per_case: tuple[tuple[int, int, int], ...]

    @property
    def by_id(self) -> dict[str, Variant]:
        return {variant.public_id: variant for variant in self.listed}

    @property
    def changes(self) -> tuple[Variant, ...]:
        """Those that were produced as they are: all but what was set apart."""
        return tuple(v for v in self.listed if v.standing != VariantStanding.SET_APART)

    @cached_property
    def claims(self) -> list[Claim]:
        """What is claimed of the listed now, causes too. Queries: 1, once."""
        claims = Claim.objects.open().filter(variant__in=[variant.pk for variant in self.listed])
        return list(claims.select_related("trait__merged_into", "state__merged_into").order_by("pk"))

    @cached_property
    def looks(self) -> list[Look]:
        """Each once, however many lines and sightings tell of it. Queries: 1, once."""
        lines = CountLine.objects.filter(
            kind=CountKind.VARIANT, variants__in=list(self.standing_for), sighting__withdrawn_at=None
        )
        of_sighting = ("country", "seen_on", "by", "region", "is_full_count")
        columns = ("variants", *(f"sighting__{column}" for column in of_sighting))
        return [Look(*row) for row in lines.values_list(*columns).distinct()]

    @property
    def finds(self) -> Counter[int]:
        """How many of each variant: one for each member, place and day. Queries: 1 at most."""
        return Counter(look.variant for look in self.looks if not look.is_full_count)

    @property
    def first_sightings(self) -> list[FirstSighting]:
        """The earliest of each variant in each country, one a member. Queries: 1 at most."""
        found: dict[tuple[int, str], list[FirstSighting]] = defaultdict(list)
        for variant, country, day, by, *_ in sorted(self.looks):
            earlier = found[variant, country]
            if len(earlier) < EARLIEST and by not in {one.by for one in earlier}:
                earlier.append(FirstSighting(variant, country, day, by, nth=len(earlier) + 1))
        return [sighting for those in found.values() for sighting in those]

    @cached_property
    def shipped_in(self) -> list[AssortmentItem]:
        """Its assortments, earliest first; `in_sets` where it was sold in sets too. Queries: 1, once."""
        sets = PackContent.objects.filter(release=self.release, pack__kind__in=SET_PACKS)
        items = AssortmentItem.objects.filter(release=self.release).select_related("assortment")
        return list(items.annotate(in_sets=Exists(sets)).order_by("assortment__opens_on", "assortment__name"))


def siblings(release: Release) -> Siblings:
    """Queries: 1."""
    said = CaseContent.objects.filter(variant=OuterRef("pk")).order_by("assortment")
    rows = Variant.objects.filter(release=release).order_by(F("noticed_on").asc(nulls_last=True), "pk")
    rows = rows.annotate(cases=NestedRows(said, "assortment_id", "per_case"))
    every = {variant.pk: variant for variant in rows}

    def survivor(variant: Variant) -> Variant | None:
        while variant.merged_into_id in every:
            variant = every[variant.merged_into_id]
        return None if variant.is_gone else variant

    found = ((key, survivor(variant)) for key, variant in every.items())
    return Siblings(
        release=release,
        listed=tuple(variant for variant in every.values() if variant.standing not in GONE),
        standing_for={key: variant for key, variant in found if variant},
        per_case=tuple(
            (case.assortment_id, key, case.per_case) for key, v in every.items() for case in v.cases
        ),
    )
