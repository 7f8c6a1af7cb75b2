"""How common the variants of a release are: full counts gathered for methods.abundance."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from django.db.models import F, OuterRef, QuerySet, Window
from django.db.models.functions import RowNumber

from registry.methods.abundance import (
    Absence,
    Abundance,
    Known,
    Line,
    Share,
    absence,
    abundance,
    abundance_by,
    candidates,
)
from registry.methods.abundance import Count as Counted
from registry.methods.abundance.counts import clusters, once
from registry.models import (
    CountKind,
    CountLine,
    Release,
    Scope,
    Sighting,
    Variant,
    VariantStanding,
)
from registry.models.nested import NestedRows
from registry.sentences import Sentence

from .siblings import Siblings, siblings

MOST_COUNTS = 2_000
"""The newest full counts of a release that are worked through."""
MOST_A_DAY = 20
"""Of one member in one place on one day: they are one cluster in any case."""
NO_COUNTRY = Sentence("country not known")


@lru_cache(maxsize=64)
def _shares(
    counts: tuple[Counted, ...], variants: tuple[str, ...], prior: tuple[tuple[str, float], ...]
) -> Abundance:
    return abundance(counts, variants, dict(prior))


@dataclass(frozen=True)
class ReleaseAbundance:
    """Shares of the listed variants, whole and apart, and what finding no difference says.

    `by_country` and `by_year` hold only parts with enough clusters, and nothing where there is one part alone.
    `is_cut` where the release has more full counts than were worked through.
    """

    siblings: Siblings
    whole: Abundance
    by_country: Mapping[str, Abundance]
    by_year: Mapping[str, Abundance]
    absence: Absence | None
    is_cut: bool

    def share_of(self, variant: Variant) -> Share:
        return next(share for share in self.whole.shares if share.variant == variant.public_id)


@dataclass(frozen=True)
class FullCount:
    """One of them, with the details that whoever made it looked at, by key."""

    sighting: Sighting
    traits: list[int]
    lines: list[CountedLine]


class CountedLine(NamedTuple):
    """How many of one variant, or of one of several, it counted."""

    kind: str
    n: int
    variants: list[int]


def release_abundance(release: Release, among: Siblings | None = None) -> ReleaseAbundance:
    """Queries: 3, and 1 more where the siblings are not handed in, whatever the size.

    Cost: bounded by MOST_COUNTS; the newest count.
    """
    among = among or siblings(release)
    gathered = full_counts(release)
    known = known_variants(among)
    full = tuple(counted(each, among, known) for each in gathered)
    counts = (*full, *found(among))
    ids = tuple(variant.public_id for variant in among.listed)
    made = [each.sighting for each in gathered]
    country = {each.public_id: each.country or NO_COUNTRY for each in made}
    year = {each.public_id: str(each.seen_on.year) for each in made}
    compared = {each.public_id for each in made if each.cases_compared or each.scope == Scope.CASE}
    return ReleaseAbundance(
        siblings=among,
        whole=_shares(counts, ids, said_of_cases(among)),
        by_country=parts(full, ids, country),
        by_year=parts(full, ids, year),
        absence=no_difference(full, compared, among),
        is_cut=len(gathered) >= MOST_COUNTS,
    )


def said_of_cases(among: Siblings) -> tuple[tuple[str, float], ...]:
    """How many of each variant one case holds, the mean of the assortments that say so. Queries: none."""
    holds: dict[str, int] = defaultdict(int)
    said = [row for row in among.per_case if row[1] in among.standing_for]
    for _, variant, per_case in said:
        holds[among.standing_for[variant].public_id] += per_case
    cases = {assortment for assortment, _, _ in said}
    return tuple((name, n / len(cases)) for name, n in sorted(holds.items()))


def newest_counts(release: Release) -> QuerySet[Sighting]:
    """Full counts that may name the release's variants; of one member, place and day no more than MOST_A_DAY."""
    # A union, for PostgreSQL reads every sighting there is to answer an "or" of a column and a subquery.
    own = Sighting.objects.filter(release=release).values("pk")
    named = CountLine.objects.filter(variants__release=release).values("sighting")
    every = Sighting.objects.filter(pk__in=own.union(named), is_full_count=True, withdrawn_at=None)
    one_look = [F("by"), F("country"), F("region"), F("seen_on")]
    nth = Window(RowNumber(), partition_by=one_look, order_by=F("pk").asc())
    return every.annotate(nth=nth).filter(nth__lte=MOST_A_DAY).order_by("-seen_on", "-pk")


def full_counts(release: Release) -> list[FullCount]:
    """The newest of them. Queries: 1."""
    newest = newest_counts(release).values("pk")[:MOST_COUNTS]
    looked_at = Sighting.traits_seen.through.objects.filter(sighting=OuterRef("sighting"))
    named = CountLine.variants.through.objects.filter(countline=OuterRef("pk"))
    lines = (
        CountLine.objects.filter(sighting__in=newest)
        .select_related("sighting")
        .annotate(
            looked_at=NestedRows(looked_at, "trait_id", "trait__merged_into_id"),
            named=NestedRows(named, "variant_id"),
        )
        .order_by("sighting", "pk")
    )
    counts: dict[int, FullCount] = {}
    for line in lines:
        if line.sighting_id not in counts:
            traits = [row.trait.merged_into_id or row.trait_id for row in line.looked_at]
            counts[line.sighting_id] = FullCount(line.sighting, traits, [])
        variants = [row.variant_id for row in line.named]
        counts[line.sighting_id].lines.append(CountedLine(line.kind, line.n, variants))
    return list(counts.values())


def known_variants(among: Siblings) -> tuple[Known, ...]:
    """What is claimed of each, by the traits and states that merged ones lead to. Queries: 1 at most."""
    states: dict[int, dict[int, int]] = defaultdict(dict)
    differs: dict[int, set[int]] = defaultdict(set)
    for claim in among.claims:
        trait = claim.trait.survivor
        if trait.is_cause:
            continue
        states[claim.variant_id][trait.pk] = claim.state.survivor.pk
        if claim.is_difference:
            differs[claim.variant_id].add(trait.pk)
    return tuple(
        Known(each.public_id, each.sent_at, states[each.pk], frozenset(differs[each.pk]))
        for each in among.listed
    )


def counted(count: FullCount, among: Siblings, known: tuple[Known, ...]) -> Counted:
    """A full count as the method takes it; lines on other releases are passed over."""
    made = count.sighting
    lines, could_not_tell, is_own = [], 0, made.release_id == among.release.pk
    for kind, n, variants in count.lines:
        named = {among.standing_for[key].public_id for key in variants if key in among.standing_for}
        is_whole = kind != CountKind.NONE_KNOWN and len(named) > 0 and variants_known(variants, among)
        if is_whole or (kind == CountKind.NONE_KNOWN and is_own):
            lines.append(Line(n, candidates(sorted(named), known, made.added_at, count.traits)))
        elif is_own or named:
            could_not_tell += n
    told = could_not_tell + sum(line.n for line in lines)
    return Counted(
        id=made.public_id,
        scope=made.scope,  # type: ignore[arg-type]  # a Scope of the models has the same words
        lines=tuple(lines),
        full=True,
        could_not_tell=could_not_tell,
        cases=min(made.cases_compared or 1, max(1, told)),
        picked_over=made.picked_over,  # type: ignore[arg-type]
        by=str(made.by_id),
        place=f"{made.country} {made.region}",
        day=made.seen_on.toordinal(),
        example=str(made.example_id or ""),
    )


def variants_known(variants: Iterable[int], among: Siblings) -> bool:
    return all(key in among.standing_for for key in variants)


def found(among: Siblings) -> list[Counted]:
    """One find for each member, place and day. Queries: 1 at most."""
    totals: dict[str, int] = defaultdict(int)
    for key, n in among.finds.items():
        totals[among.standing_for[key].public_id] += n
    return [Counted(f"found {name}", "item", (Line(n, (name,)),)) for name, n in sorted(totals.items())]


def parts(counts: tuple[Counted, ...], ids: tuple[str, ...], key: Mapping[str, str]) -> dict[str, Abundance]:
    if len({key[count.id] for count in counts}) < 2:
        return {}
    return abundance_by(counts, ids, lambda count: key[count.id])


def no_difference(counts: Iterable[Counted], compared: set[str], among: Siblings) -> Absence | None:
    """What comparing whole cases says where no second variant is known. `compared`: counts that say how many."""
    if sum(variant.standing != VariantStanding.SET_APART for variant in among.listed) > 1:
        return None
    looks = clusters(once(count for count in counts if count.id in compared))
    lines = [line for look in looks for count in look.counts for line in count.lines]
    if any(not line.variants for line in lines) and any(line.variants for line in lines):
        return None  # some were the known one, some were not
    examples = sum(line.n for line in lines)
    return absence(examples, min(examples, sum(look.cases for look in looks))) if examples else None
