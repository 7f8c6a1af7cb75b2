"""How common the variants of a release are: full counts gathered for methods.abundance."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.db.models import CharField, Count, F, QuerySet, Value, Window
from django.db.models.functions import Cast, Concat, RowNumber

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
    CaseContent,
    Claim,
    CountKind,
    CountLine,
    Release,
    Scope,
    Sighting,
    Variant,
    VariantStanding,
)

from .siblings import Siblings, siblings

MOST_COUNTS = 2_000
"""The newest full counts of a release that are worked through."""
MOST_A_DAY = 20
"""Of one member in one place on one day: they are one cluster in any case."""
NO_COUNTRY = "country not known"


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
    lines: dict[int, tuple[str, int, list[int]]] = field(default_factory=dict)
    seen: list[int] = field(default_factory=list)


def release_abundance(release: Release, among: Siblings | None = None) -> ReleaseAbundance:
    """Queries: 5, and 1 more where the siblings are not handed in, whatever the size.

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
    """How many of each variant one case holds, the mean of the assortments that say so. Queries: 1."""
    said = CaseContent.objects.filter(variant__in=list(among.standing_for))
    holds: dict[str, int] = defaultdict(int)
    cases = set()
    for assortment, variant, per_case in said.values_list("assortment", "variant", "per_case"):
        cases.add(assortment)
        holds[among.standing_for[variant].public_id] += per_case
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
    """The newest of them. Queries: 2."""
    newest = newest_counts(release).values("pk")[:MOST_COUNTS]
    columns = ("scope", "picked_over", "cases_compared", "by", "country", "region", "seen_on", "added_at")
    rows = (
        CountLine.objects.filter(sighting__in=newest)
        .order_by("sighting", "pk", "variants")
        .values_list(
            "sighting__public_id",
            *(f"sighting__{column}" for column in columns),
            "sighting__example",
            "sighting__release",
            "sighting",
            "pk",
            "kind",
            "n",
            "variants",
        )
    )
    counts: dict[int, _Gathered] = {}
    for row in rows:
        about: Any = row[:-5]
        sighting, line, kind, n, variant = row[-5:]
        if sighting not in counts:
            counts[sighting] = _Gathered(*about)
        counts[sighting].lines.setdefault(line, (kind, n, []))[2].append(variant)
    through = Sighting.traits_seen.through.objects.filter(sighting__in=newest)
    for sighting, trait, survivor in through.values_list("sighting", "trait", "trait__merged_into"):
        if sighting in counts:
            counts[sighting].seen.append(survivor or trait)
    return list(counts.values())


def known_variants(among: Siblings) -> tuple[Known, ...]:
    """What is claimed of each, by the traits and states that merged ones lead to. Queries: 1."""
    states: dict[int, dict[int, int]] = defaultdict(dict)
    differs: dict[int, set[int]] = defaultdict(set)
    claims = Claim.objects.open().filter(variant__in=[v.pk for v in among.listed]).exclude(trait__key="cause")
    columns = ("variant", "trait", "trait__merged_into", "state", "state__merged_into", "is_difference")
    for variant, trait, trait_kept, state, state_kept, is_difference in claims.values_list(*columns):
        states[variant][trait_kept or trait] = state_kept or state
        if is_difference:
            differs[variant].add(trait_kept or trait)
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
    """One find for each member, place and day, added up by the database. Queries: 1."""
    look = Concat(
        Cast("sighting__by", CharField()),
        Value("|"),
        "sighting__country",
        Value("|"),
        "sighting__region",
        Value("|"),
        Cast("sighting__seen_on", CharField()),
        output_field=CharField(),
    )
    lines = CountLine.objects.filter(
        kind=CountKind.VARIANT,
        variants__in=list(among.standing_for),
        sighting__is_full_count=False,
        sighting__withdrawn_at=None,
    )
    totals: dict[str, int] = defaultdict(int)
    for key, looks in lines.values_list("variants").annotate(looks=Count(look, distinct=True)).order_by():
        totals[among.standing_for[key].public_id] += looks
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
