"""Rows of the releases in question, in a fixed number of queries, however many releases those are."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from registry.errors import InvalidField
from registry.methods.abundance import Count
from registry.models import (
    GONE,
    Acceptance,
    Adoption,
    Claim,
    ClaimStanding,
    Confusion,
    FitAdoption,
    State,
    Trait,
    TraitKind,
    Variant,
)
from registry.models.fits import MILLION
from registry.sentences import Sentence

from .counted import counts_of
from .scopes import Releases

MOST_VARIANTS = 20_000


@dataclass(frozen=True, slots=True)
class ListedVariant:
    """A variant that may be meant."""

    id: str
    title: str
    standing: str
    release: str
    release_name: str


@dataclass
class Read:
    """Rows of the releases in question, by key."""

    variants: dict[int, dict[int, ListedVariant]]  # of each release
    claims: dict[int, dict[int, int]]  # by variant: the state of each trait
    adopted: dict[int, dict[int, Adoption]]  # by release and trait
    traits: dict[int, Trait]
    merged_traits: dict[int, list[str]]
    states: dict[int, list[State]]  # of each trait
    counts: dict[int, list[Count]]
    taken_for: dict[
        int, dict[tuple[int, int], float]
    ]  # of each trait: votes on true claims, by state and state seen


def read_all(releases: Releases) -> Read:
    """Queries: 7. Errors: InvalidField where those are more than can be ranked."""
    variants = read_variants(releases)
    claims, adopted = read_claims(releases), read_adoptions(releases)
    keys = {trait for states in claims.values() for trait in states}
    keys |= {trait for traits in adopted.values() for trait in traits}
    traits, merged, states = read_traits(keys)
    counts = counts_of(
        releases, {of: {key: each.id for key, each in rows.items()} for of, rows in variants.items()}
    )
    return Read(variants, claims, adopted, traits, merged, states, counts, read_confusions(keys))


def within(rows: QuerySet[Any], column: str, releases: Releases) -> QuerySet[Any]:
    return rows if releases is None else rows.filter(**{f"{column}__in": releases})


def read_variants(releases: Releases) -> dict[int, dict[int, ListedVariant]]:
    """By release, in the order of its page."""
    live = within(Variant.objects.live(), "release", releases)
    first = F("noticed_on").asc(nulls_last=True)
    rows = list(live.select_related("release").order_by("release", first, "pk")[: MOST_VARIANTS + 1])
    if len(rows) > MOST_VARIANTS:
        remedy = Sentence(
            "More than %(most)s variants are meant. Name a line, casting or release.",
            most=f"{MOST_VARIANTS:,}",
        )
        raise InvalidField("scope", len(rows), remedy)
    found: dict[int, dict[int, ListedVariant]] = defaultdict(dict)
    for variant in rows:
        release = variant.release
        found[release.pk][variant.pk] = ListedVariant(
            variant.public_id, variant.title, variant.standing, release.public_id, str(release)
        )
    return dict(found)


def read_claims(releases: Releases) -> dict[int, dict[int, int]]:
    """What is claimed and not refuted; of variants that are gone nothing."""
    standing = within(Claim.objects.open(), "variant__release", releases).exclude(
        Q(standing=ClaimStanding.REFUTED) | Q(trait__kind=TraitKind.CAUSE) | Q(variant__standing__in=GONE)
    )
    found: dict[int, dict[int, int]] = defaultdict(dict)
    rows = standing.values_list(
        "variant", Coalesce("trait__merged_into", "trait"), Coalesce("state__merged_into", "state")
    )
    for variant, trait, state in rows.iterator(chunk_size=5_000):
        found[variant][trait] = state
    return dict(found)


def read_adoptions(releases: Releases) -> dict[int, dict[int, Adoption]]:
    rows = within(Adoption.objects.all(), "release", releases).select_related("trait")
    found: dict[int, dict[int, Adoption]] = defaultdict(dict)
    for adoption in rows.exclude(trait__kind=TraitKind.CAUSE).order_by("pk"):
        found[adoption.release_id][adoption.trait.merged_into_id or adoption.trait_id] = adoption
    return dict(found)


def read_traits(keys: set[int]) -> tuple[dict[int, Trait], dict[int, list[str]], dict[int, list[State]]]:
    """Traits, the ids of those merged into each, and the states of each with those merged into them.

    Read through the states: no trait is without one, for each is born with `does_not_apply`.
    """
    traits: dict[int, Trait] = {}
    merged: dict[int, list[str]] = defaultdict(list)
    states: dict[int, list[State]] = defaultdict(list)
    rows = State.objects.filter(Q(trait__in=keys) | Q(trait__merged_into__in=keys))
    rows = rows.select_related("trait__casting", "merged_into")
    for state in rows.order_by("trait__place", "trait", "is_built_in", "pk"):
        trait = state.trait
        if trait.acceptance != Acceptance.MERGED:
            traits[trait.pk] = trait
        elif trait.public_id not in merged[trait.merged_into_id or 0]:
            merged[trait.merged_into_id or 0].append(trait.public_id)
        states[trait.merged_into_id or trait.pk].append(state)
    return traits, merged, states


def read_confusions(traits: set[int]) -> dict[int, dict[tuple[int, int], float]]:
    """What voters took for what, as the fit in force learnt it; nothing before one is adopted."""
    in_force = FitAdoption.objects.order_by("-pk").values("fit")[:1]
    rows = Confusion.objects.filter(fit=Subquery(in_force)).annotate(
        of=Coalesce("trait__merged_into", "trait")
    )
    found: dict[int, dict[tuple[int, int], float]] = defaultdict(lambda: defaultdict(float))
    for trait, claimed, seen, expected in rows.filter(of__in=traits).values_list(
        "of",
        Coalesce("claimed__merged_into", "claimed"),
        Coalesce("seen__merged_into", "seen"),
        "expected",
    ):
        found[trait][claimed, seen] += expected / MILLION
    return {trait: dict(pairs) for trait, pairs in found.items()}
