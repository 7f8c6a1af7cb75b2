"""A release as a table: its variants side by side, one column for each trait on which they differ."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from django.db.models import OuterRef

from registry.models import Adoption, Claim, Drift, Mark, Release, Trait, Variant, VariantStanding
from registry.models.nested import NestedRows

from .siblings import Siblings, siblings


@dataclass(frozen=True)
class Cell:
    """What one variant is claimed to show of one trait. `claim` is None where nothing is known."""

    claim: Claim | None = None
    crop: Mark | None = None
    differs: bool = False
    """From the last row above on which the trait is known."""


@dataclass(frozen=True)
class Row:
    variant: Variant
    cells: list[Cell]


@dataclass(frozen=True)
class Table:
    """`traits` head the columns; `common` are traits that never differ, with the one state known of each."""

    traits: list[Trait] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    set_apart: list[Row] = field(default_factory=list)
    common: list[tuple[Trait, Claim | None]] = field(default_factory=list)
    drifts: dict[int, list[Drift]] = field(default_factory=dict)
    seen_in_pack: dict[int, bool] = field(default_factory=dict)
    marks: list[Mark] = field(default_factory=list)
    """The first of each claim, whether its trait differs or not."""


def release_table(release: Release, only_seen_in_pack: bool = False, among: Siblings | None = None) -> Table:
    """The table of a release, in order of earliest sighting, then id.

    Queries: 3, and 1 more where the siblings are not handed in, whatever the size.
    """
    among = among or siblings(release)
    variants = list(among.listed)
    ranges = Drift.objects.filter(release=release, trait=OuterRef("trait")).order_by("pk")
    adopted = Adoption.objects.filter(release=release).select_related("trait")
    adopted = adopted.annotate(drifts=NestedRows(ranges, "id", "public_id", "note", "low", "high", "unit"))
    adoptions = list(adopted.order_by("trait__place", "trait__pk"))
    seen = {adoption.trait_id: adoption.is_seen_in_pack for adoption in adoptions}
    traits = [a.trait for a in adoptions if a.is_seen_in_pack or not only_seen_in_pack]
    known: dict[tuple[int, int], Claim] = {}
    for claim in among.claims:
        known[claim.variant_id, claim.trait.survivor.pk] = claim
    crops = crops_of(list(known.values()))
    differing = [trait for trait in traits if len(states_of(trait, variants, known)) > 1]
    # What changes most often stands first, so that a narrow screen shows what tells the variants apart.
    differing.sort(key=lambda trait: -changes_of(trait, variants, known))
    common = [trait for trait in traits if trait not in differing]
    apart = [variant for variant in variants if variant.standing == VariantStanding.SET_APART]
    return Table(
        traits=differing,
        rows=rows_of(list(among.changes), differing, known, crops),
        set_apart=rows_of(apart, differing, known, crops),
        common=[(trait, first_known(trait, variants, known)) for trait in common],
        drifts={adoption.trait_id: adoption.drifts for adoption in adoptions if adoption.drifts},
        seen_in_pack=seen,
        marks=list(crops.values()),
    )


def states_of(trait: Trait, variants: list[Variant], known: dict[tuple[int, int], Claim]) -> set[int]:
    claims = (known.get((variant.pk, trait.pk)) for variant in variants)
    return {claim.state.survivor.pk for claim in claims if claim}


def changes_of(trait: Trait, variants: list[Variant], known: dict[tuple[int, int], Claim]) -> int:
    """How often the trait's state changes from one variant on which it is known to the next."""
    claims = [claim for variant in variants if (claim := known.get((variant.pk, trait.pk)))]
    states = [claim.state.survivor.pk for claim in claims]
    return sum(before != after for before, after in pairwise(states))


def first_known(trait: Trait, variants: list[Variant], known: dict[tuple[int, int], Claim]) -> Claim | None:
    claims = (known.get((variant.pk, trait.pk)) for variant in variants)
    return next((claim for claim in claims if claim), None)


def crops_of(claims: list[Claim]) -> dict[int, Mark]:
    """The first standing mark of each claim."""
    crops: dict[int, Mark] = {}
    for mark in Mark.objects.standing().on(claims).select_related("photo__owner").order_by("pk"):
        crops.setdefault(mark.shown_claim, mark)
    return crops


def rows_of(
    variants: list[Variant], traits: list[Trait], known: dict[tuple[int, int], Claim], crops: dict[int, Mark]
) -> list[Row]:
    rows: list[Row] = []
    last: dict[int, int] = {}
    for variant in variants:
        cells = []
        for trait in traits:
            claim = known.get((variant.pk, trait.pk))
            state = claim.state.survivor.pk if claim else None
            differs = state is not None and trait.pk in last and last[trait.pk] != state
            cells.append(Cell(claim, crops.get(claim.pk) if claim else None, differs))
            if state is not None:
                last[trait.pk] = state
        rows.append(Row(variant, cells))
    return rows
