"""What the pages of the catalogue show: the start page, makers, lines, castings, packs, assortments, details."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db.models import Case, Count, Min, OuterRef, Prefetch, Q, QuerySet, Subquery, Sum, When
from django.db.models.functions import Coalesce

from registry.models import (
    GONE,
    WAITING,
    Assortment,
    AssortmentItem,
    Availability,
    CaseContent,
    Casting,
    Claim,
    CountKind,
    CountLine,
    Dispute,
    Edition,
    Line,
    Maker,
    Mark,
    Pack,
    PackContent,
    Release,
    SearchEntry,
    Sighting,
    State,
    Trait,
    TraitKind,
    Variant,
    VariantStanding,
)
from registry.models.base import Identified
from registry.models.nested import NestedRows

T = TypeVar("T", bound=Identified)
HOME_ROWS = 8
LIVE = ~Q(variants__standing__in=GONE) & Q(variants__isnull=False)


@dataclass(frozen=True)
class HomePage:
    changed: Sequence[Variant]
    waiting: Sequence[Claim]
    crops: Mapping[int | None, Mark]
    """By key. Each variant names as `shown_by` a mark of what it differs in, each claim one that shows it."""
    latest: Edition | None
    lines: list[Line]


def home() -> HomePage:
    """The start page. Queries: 5."""
    newest = Variant.objects.live().select_related("release").order_by("-changed_at", "-id")
    changed = list(newest.annotate(shown_by=difference_shown("pk"))[:HOME_ROWS])
    open_ones = Claim.objects.votable().filter(standing__in=WAITING, author__isnull=False)
    open_ones = open_ones.exclude(variant__standing__in=GONE)
    urgent = open_ones.select_related("trait", "state", "variant__release").order_by(
        "-urgency", "opened_at", "pk"
    )
    waiting = list(urgent.annotate(shown_by=claim_shown())[:HOME_ROWS])
    shown = {row.shown_by for row in (*changed, *waiting)}  # type: ignore[attr-defined]
    marks = Mark.objects.filter(pk__in=shown - {None})
    return HomePage(
        changed=changed,
        waiting=waiting,
        crops={mark.pk: mark for mark in marks.select_related("claim__state__merged_into")},
        latest=Edition.objects.order_by("-number").first(),
        lines=list(Line.objects.select_related("maker").order_by("maker__name", "name")[:HOME_ROWS]),
    )


def difference_shown(variant: str) -> Subquery:
    """The first mark of what the variant differs in."""
    return first_mark(claim__variant=OuterRef(variant), claim__is_difference=True, claim__closed_at=None)


def claim_shown() -> Case:
    """A mark of the claim; of a rival, where nothing shows it yet, one of the claim that it rivals; of a cause, one
    of what differs.
    """
    itself = Coalesce(
        first_mark(claim=OuterRef("pk")),
        first_mark(claim=OuterRef("predecessor"), claim__closed_at=None),
    )
    return Case(When(trait__kind=TraitKind.CAUSE, then=difference_shown("variant")), default=itself)


def first_mark(**shows: Any) -> Subquery:
    return Subquery(Mark.objects.standing().filter(**shows).order_by("pk").values("pk")[:1])


def makers() -> list[Maker]:
    """Every maker with its lines. Queries: 2."""
    lines = Line.objects.annotate(release_count=Count("releases")).order_by("name")
    return list(Maker.objects.prefetch_related(Prefetch("lines", lines)).order_by("name"))


def castings_of(*, maker: Maker | None = None, line: Line | None = None) -> list[Casting]:
    """Castings of a maker, or those released in a line, with counts of releases there. Queries: 1."""
    castings = Casting.objects.current()
    if line is not None:
        castings = castings.filter(releases__line=line)
    if maker is not None:
        castings = castings.filter(maker=maker)
    return list(castings.annotate(release_count=Count("releases", distinct=True)).order_by("name"))


def with_variant_counts(releases: QuerySet[Release]) -> QuerySet[Release]:
    """Each release with how many variants are known and how many of them are verified."""
    return releases.select_related("line", "casting").annotate(
        variant_count=Count("variants", filter=LIVE, distinct=True),
        verified_count=Count(
            "variants", filter=Q(variants__standing=VariantStanding.VERIFIED), distinct=True
        ),
    )


def releases_of(casting: Casting) -> list[Release]:
    """Releases of a casting, oldest first. Queries: 1."""
    current = Release.objects.current().filter(casting=casting)
    return list(with_variant_counts(current).order_by("year", "number", "id"))


def one(model: type[T], public_id: str, *related: str) -> T | None:
    """The record an id names, with what its page needs beside it. Queries: 1."""
    return model._default_manager.filter(public_id=public_id).select_related(*related).first()


def release_page(public_id: str) -> Release | None:
    """A release with what stands beside it, how it was sold, and how much was compared in full counts. Queries: 1."""
    told = CountLine.objects.exclude(kind=CountKind.COULD_NOT_TELL)
    counts = told.filter(
        sighting__release=OuterRef("pk"), sighting__is_full_count=True, sighting__withdrawn_at=None
    ).values("sighting__release")
    cases = Sighting.objects.filter(release=OuterRef("pk"), is_full_count=True, withdrawn_at=None).values(
        "release"
    )
    packs = Pack.objects.current().filter(releases=OuterRef("pk")).order_by("name")
    facts = Availability.objects.filter(release=OuterRef("pk")).order_by("on")
    related = ("line__maker", "casting__maker", "casting__merged_into", "merged_into", "reissue_of")
    return (
        Release.objects.filter(public_id=public_id)
        .select_related(*related)
        .annotate(
            examples_compared=Coalesce(Subquery(counts.annotate(sum=Sum("n")).values("sum")), 0),
            cases_compared=Coalesce(Subquery(cases.annotate(sum=Sum("cases_compared")).values("sum")), 0),
            sold_as=NestedRows(packs, "public_id", "name"),
            on_sale=NestedRows(facts, "kind", "on", "region", "source"),
        )
        .first()
    )


def pack_contents(pack: Pack) -> list[PackContent]:
    contents = PackContent.objects.filter(pack=pack).select_related("release__casting")
    return list(contents.order_by("release__name"))


def case_contents(assortment: Assortment) -> list[CaseContent]:
    """What a case holds, variant by variant, where somebody said so. Queries: 1."""
    said = CaseContent.objects.filter(assortment=assortment).select_related("variant__release")
    return list(said.order_by("variant__release__number", "variant"))


def assortment_items(assortment: Assortment) -> list[AssortmentItem]:
    items = AssortmentItem.objects.filter(assortment=assortment).select_related(
        "release__line", "release__casting"
    )
    return list(items.order_by("release__number", "release__name"))


def states_of(trait: Trait) -> list[State]:
    """States of a trait with how many variants claim each, most first. Queries: 1."""
    counted = State.objects.current().filter(trait=trait)
    return list(
        counted.annotate(
            variant_count=Count(
                "claims", filter=Q(claims__closed_at=None, claims__is_rival=False), distinct=True
            )
        ).order_by("is_built_in", "-variant_count", "name")
    )


def samples_of(trait: Trait) -> dict[str, Mark]:
    """What states of a trait look like: by public id, the first standing mark that shows each. Queries: 1."""
    shown = Mark.objects.standing().filter(claim__closed_at=None, claim__is_rival=False)
    shown = shown.annotate(shows=Coalesce("claim__state__merged_into__public_id", "claim__state__public_id"))
    shown = shown.filter(claim__trait=trait)
    first = shown.values("shows").annotate(first=Min("pk")).values("first")
    return {mark.shows: mark for mark in shown.filter(pk__in=first).select_related("photo__owner")}


def variants_with(state: State, most: int = 200) -> list[Variant]:
    """Variants that claim the state now. Queries: 1."""
    claimed = Claim.objects.open().of(state).values("variant")
    shown = Variant.objects.live().filter(pk__in=claimed).select_related("release")
    return list(shown.order_by("release__name", "id")[:most])


def kind_of(public_id: str) -> str:
    """The page that shows the record an id names: a kind of the search index, `dispute`, or blank. Queries: 1-2."""
    kind = SearchEntry.objects.filter(public_id=public_id).values_list("kind", flat=True).first()
    return kind or ("dispute" if Dispute.objects.filter(public_id=public_id).exists() else "")
