"""The variants of one release, with what became of those that were merged into others, and what was seen of them.

How common they are, their order and their table are read from the same rows: each kind is asked for once.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from django.db.models import (
    CharField,
    Count,
    Exists,
    F,
    Func,
    IntegerField,
    Min,
    OuterRef,
    Q,
    Value,
    Window,
)
from django.db.models.functions import Cast, Concat, RowNumber

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
from registry.models.listed import Listed

EARLIEST = 3
"""Members whose first sighting of a variant in a country is taken, so that one slip of the pen is not the last word."""
SET_PACKS = (PackKind.TWO_PACK, PackKind.PLAY_SET, PackKind.MULTI_PACK)


class Total(Func):
    """A sum over a window, of what was counted."""

    function = "SUM"
    window_compatible = True
    output_field = IntegerField()


@dataclass(frozen=True)
class FirstSighting:
    """By one member, of a variant in a country; `nth` of those. `finds`: of the variant anywhere, by anybody."""

    variant: int
    country: str
    by: int
    day: date
    nth: int
    finds: int


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
    def first_sightings(self) -> list[FirstSighting]:
        """The earliest of each variant in each country, one a member, chosen by the database. Queries: 1, once.

        Finds are one for each member, place and day.
        """
        place = Concat(
            "sighting__region", Value("|"), Cast("sighting__seen_on", CharField()), output_field=CharField()
        )
        where = [F("variants"), F("sighting__country")]
        first = Window(RowNumber(), partition_by=where, order_by=[F("day").asc(), F("sighting__by").asc()])
        rows: Any = (
            CountLine.objects.filter(
                kind=CountKind.VARIANT, variants__in=list(self.standing_for), sighting__withdrawn_at=None
            )
            .values("variants", "sighting__country", "sighting__by")
            .annotate(
                day=Min("sighting__seen_on"),
                looks=Count(place, distinct=True, filter=Q(sighting__is_full_count=False)),
            )
            .annotate(nth=first, finds=Window(Total("looks"), partition_by=[F("variants")]))
            .filter(nth__lte=EARLIEST)
            .order_by("variants", "sighting__country", "nth")
        )
        columns = ("variants", "sighting__country", "sighting__by", "day", "nth", "finds")
        return [FirstSighting(*row) for row in rows.values_list(*columns)]

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
    rows = rows.annotate(cases=Listed(said, "assortment_id", "per_case"))
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
