"""How common the variants of a release are: full counts gathered for methods.abundance."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import Any

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
from registry.models.listed import Listed
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


@dataclass
class _Gathered:
    """One full count, line by line."""

    id: str
    scope: str
    picked_over: str
    cases: int | None
    by: int
    country: str
    region: str
    seen_on: Any
    added_at: datetime
    example: int | None
    release: int
    seen: list[int]
    lines: dict[int, tuple[str, int, list[int]]] = field(default_factory=dict)


def release_abundance(release: Release, among: Siblings | None = None) -> ReleaseAbundance:
    """Queries: 3, and 1 more where the siblings are not handed in, whatever the size.

    Cost: bounded by MOST_COUNTS; the newest count.
    """
    among = among or siblings(release)
    gathered = full_counts(release)
    known = known_variants(among)
    counts = (*(counted(each, among, known) for each in gathered), *found(among))
    ids = tuple(variant.public_id for variant in among.listed)
    country = {each.id: each.country or NO_COUNTRY for each in gathered}
    year = {each.id: str(each.seen_on.year) for each in gathered}
    full = tuple(count for count in counts if count.full)
    compared = {each.id for each in gathered if each.cases or each.scope == Scope.CASE}
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


def full_counts(release: Release) -> list[_Gathered]:
    """The newest of them. Queries: 1."""
    newest = newest_counts(release).values("pk")[:MOST_COUNTS]
    columns = ("scope", "picked_over", "cases_compared", "by", "country", "region", "seen_on", "added_at")
    traits = Sighting.traits_seen.through.objects.filter(sighting=OuterRef("sighting"))
    rows = (
        CountLine.objects.filter(sighting__in=newest)
        .annotate(seen=Listed(traits, "trait_id", "trait__merged_into_id"))
        .order_by("sighting", "pk", "variants")
        .values_list(
            "sighting__public_id",
            *(f"sighting__{column}" for column in columns),
            "sighting__example",
            "sighting__release",
            "seen",
            "sighting",
            "pk",
            "kind",
            "n",
            "variants",
        )
    )
    counts: dict[int, _Gathered] = {}
    for row in rows:
        seen, sighting, line, kind, n, variant = row[-6:]
        if sighting not in counts:
            about: list[Any] = [*row[:-6], [one.trait.merged_into_id or one.trait_id for one in seen]]
            counts[sighting] = _Gathered(*about)
        counts[sighting].lines.setdefault(line, (kind, n, []))[2].append(variant)
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


def counted(each: _Gathered, among: Siblings, known: tuple[Known, ...]) -> Counted:
    """A full count as the method takes it; lines on other releases are passed over."""
    lines, could_not_tell, is_own = [], 0, each.release == among.release.pk
    for kind, n, variants in each.lines.values():
        named = {among.standing_for[key].public_id for key in variants if key in among.standing_for}
        is_whole = kind != CountKind.NONE_KNOWN and len(named) > 0 and variants_known(variants, among)
        if is_whole or (kind == CountKind.NONE_KNOWN and is_own):
            lines.append(Line(n, candidates(sorted(named), known, each.added_at, each.seen)))
        elif is_own or named:
            could_not_tell += n
    told = could_not_tell + sum(line.n for line in lines)
    return Counted(
        id=each.id,
        scope=each.scope,  # type: ignore[arg-type]  # a Scope of the models has the same words
        lines=tuple(lines),
        full=True,
        could_not_tell=could_not_tell,
        cases=min(each.cases or 1, max(1, told)),
        picked_over=each.picked_over,  # type: ignore[arg-type]
        by=str(each.by),
        place=f"{each.country} {each.region}",
        day=each.seen_on.toordinal(),
        example=str(each.example or ""),
    )


def variants_known(variants: Iterable[int], among: Siblings) -> bool:
    return all(key in among.standing_for for key in variants)


def found(among: Siblings) -> list[Counted]:
    """One find for each member, place and day. Queries: 1 at most."""
    finds = {row.variant: row.finds for row in among.first_sightings}
    totals: dict[str, int] = defaultdict(int)
    for key, n in finds.items():
        totals[among.standing_for[key].public_id] += n
    return [Counted(f"found {name}", "item", (Line(n, (name,)),)) for name, n in sorted(totals.items()) if n]


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
