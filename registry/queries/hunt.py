"""What a member still lacks, at the depth they chose: by assortment and case, with how to tell each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core import signing
from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet

from registry.methods.hunting import kinds
from registry.models import (
    GONE,
    Acceptance,
    Assortment,
    AssortmentItem,
    Availability,
    AvailabilityKind,
    CabinetItem,
    Cause,
    Depth,
    Hunt,
    Line,
    Member,
    PackVersion,
    Release,
    Trait,
    TraitKind,
    Variant,
    VariantStanding,
)
from registry.sentences import SEMICOLON, Sentence, joined

from .telling import Told, Wanted, tell_kinds, tell_releases

ON_PAGE = 30
MOST_OFFERED = 300
MOST_OF_ONE = 60
"""As many missing things of one release as are listed; its own page has them all."""
CHANGES = (Cause.BASELINE, Cause.RUNNING_CHANGE, Cause.PARALLEL, "")
"""What a variant's cause may be said to be where it is hunted without asking; blank: not known."""
signer = signing.Signer(salt="castlore.hunt")


@dataclass(frozen=True)
class Missing:
    """One thing to find. `kind`: casting, release, variant or packversion. `in_pack` is None where nothing is told."""

    kind: str
    thing: Any
    tell: str
    in_pack: bool | None = None
    or_else: list[Variant] = field(default_factory=list)
    """Others that would do as well: they differ only in details that do not count in this hunt."""


@dataclass(frozen=True)
class HuntRow:
    """A release of which something is missing, in one assortment or in none that is listed."""

    release: Release
    assortment: Assortment | None
    per_case: int | None
    missing: list[Missing]
    more: int
    """So many more are missing than `missing` holds."""
    owned: int
    known: int
    """`owned` of the `known` kinds that are hunted of this release."""
    unchecked: int
    """Owned without saying which one: it may be one of those missing."""
    listed: list[Variant] = field(default_factory=list)
    """All of it that are known, owned or not, for who counts what is there."""
    seen: list[str] = field(default_factory=list)
    """Ids of its details that show in the blister or box."""


@dataclass(frozen=True)
class HuntPage:
    rows: list[HuntRow]
    after: str | None
    """Where the next page begins, to be handed back as it is."""


def hunt_of(member: Member) -> Hunt:
    """What they chose, or what holds for who never chose. Queries: 3, or 1."""
    traits = Prefetch("traits", Trait.objects.select_related("merged_into"))
    found = Hunt.objects.filter(member=member).prefetch_related("lines", traits).first()
    return found or Hunt(member=member)


def chosen(hunt: Hunt, what: str) -> list[Any]:
    """Its `lines` or `traits`; none where it was never kept."""
    return list(getattr(hunt, what).all()) if hunt.pk else []


def hunt_page(
    hunt: Hunt, after: str = "", assortment: Assortment | None = None, limit: int = ON_PAGE
) -> HuntPage:
    """The next `limit` releases of which something is missing, the newest assortments first.

    Queries: 6, and one more at the depth of packs, whatever is listed or owned. Errors: ValueError where `after`
    was not made here.
    """
    places = list(places_after(hunt, opened(after), assortment, limit))
    following = sealed(places[limit - 1]) if len(places) > limit else None
    return HuntPage(rows_of(hunt, places[:limit]), following)


def countable(hunt: Hunt) -> list[Trait]:
    """Details that may be chosen: standard checks, and where lines are chosen those of their castings. Queries: 1."""
    lines = chosen(hunt, "lines")
    of = Q(line__in=lines) | Q(casting__releases__line__in=lines) if lines else Q(line__isnull=False)
    kept = Q(pk__in=[trait.survivor.pk for trait in chosen(hunt, "traits")])
    traits = Trait.objects.current().exclude(kind=TraitKind.CAUSE).filter(of | kept).distinct()
    return list(
        traits.select_related("line", "casting").order_by("line", "casting", "place", "pk")[:MOST_OFFERED]
    )


def huntable_lines() -> list[Line]:
    """Queries: 1."""
    return list(Line.objects.select_related("maker").order_by("maker__name", "name")[:MOST_OFFERED])


# Which releases --------------------------------------------------------------------------------------------------


def sealed(place: AssortmentItem | Release) -> str:
    if isinstance(place, AssortmentItem):
        return signer.sign_object([place.assortment_id, place.pk])
    return signer.sign_object([0, place.pk])


def opened(after: str) -> tuple[int, int] | None:
    """Assortment and row after which a page begins; assortment 0 stands for none."""
    if not after:
        return None
    try:
        assortment, row = signer.unsign_object(after)
    except signing.BadSignature:
        raise ValueError("This place in the list was not made here. Begin again.") from None
    return int(assortment), int(row)


def places_after(
    hunt: Hunt, after: tuple[int, int] | None, assortment: Assortment | None, limit: int
) -> Iterable[AssortmentItem | Release]:
    """Rows of assortments, then releases of none; one more than the limit where there are as many. Queries: 1-2."""
    within = Q(release__line__in=lines) if (lines := chosen(hunt, "lines")) else Q()
    found: list[AssortmentItem | Release] = []
    if after is None or after[0]:
        items = AssortmentItem.objects.filter(within, lacking(hunt, "release_id", "release__casting_id"))
        if assortment:
            items = items.filter(assortment=assortment)
        if after:
            items = items.filter(
                Q(assortment__lt=after[0]) | Q(assortment=after[0], pk__gt=after[1]),
                assortment__lte=after[0],
            )
        related = ("assortment", "release__line", "release__casting")
        items = items.filter(release__merged_into=None).select_related(*related)
        found += items.order_by("-assortment_id", "pk")[: limit + 1]
    if not assortment:
        alone = Release.objects.filter(assortment_items=None, merged_into=None)
        alone = alone.filter(lacking(hunt, "pk", "casting_id"))
        alone = alone.filter(line__in=lines) if lines else alone
        alone = alone.filter(pk__gt=after[1]) if after and not after[0] else alone
        found += alone.select_related("line", "casting").order_by("pk")[: limit + 1]
    return found[: limit + 1]


def lacking(hunt: Hunt, release: str, casting: str) -> Q:
    """Of which something may be missing, of those that came to be sold; `release` and `casting` name the columns."""
    own = CabinetItem.objects.filter(member=hunt.member_id)
    none_owned = ~Exists(own.filter(release=OuterRef(release)))
    sold = ~Exists(
        Availability.objects.filter(release=OuterRef(release), kind=AvailabilityKind.NEVER_RELEASED)
    )
    if hunt.depth == Depth.CASTING:
        return Q(sold, ~Exists(own.filter(release__casting=OuterRef(casting))))
    if hunt.depth == Depth.RELEASE:
        return Q(sold, none_owned)
    of_it = Variant.objects.filter(hunted(hunt), release=OuterRef(release))
    lacks = Q(Exists(of_it.filter(not_owned(own)))) | Q(~Exists(of_it) & none_owned)
    if hunt.depth == Depth.PACK:
        lacks |= Q(Exists(versions(own).filter(pack__contents__release=OuterRef(release))))
    return Q(sold) & lacks


def hunted(hunt: Hunt) -> Q:
    """Variants that count: what was produced as it is; errors and samples only where asked for."""
    found = Q(cause__in=CHANGES) & ~Q(standing=VariantStanding.SET_APART)
    if hunt.with_errors:
        found |= Q(cause=Cause.FACTORY_ERROR)
    if hunt.with_samples:
        found |= Q(cause=Cause.PRE_PRODUCTION)
    return found & ~Q(standing__in=GONE)


def not_owned(own: QuerySet[CabinetItem]) -> Q:
    return Q(
        ~Exists(own.filter(variant=OuterRef("pk"))), ~Exists(own.filter(variant__merged_into=OuterRef("pk")))
    )


def versions(own: QuerySet[CabinetItem]) -> QuerySet[PackVersion]:
    """Versions of packs that the member does not own."""
    current = PackVersion.objects.exclude(pack__acceptance=Acceptance.MERGED)
    return current.filter(~Exists(own.filter(pack_version=OuterRef("pk"))))


# What of each ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Owned:
    """What the member owns of the releases of a page."""

    variants: set[int]
    releases: set[int]
    unchecked: dict[int, int]


def rows_of(hunt: Hunt, places: Sequence[AssortmentItem | Release]) -> list[HuntRow]:
    """Queries: 4, and one more at the depth of packs."""
    releases = {release.pk: release for release in map(release_of, places)}
    owned = owned_among(hunt.member_id, releases)
    counting = {trait.survivor.public_id for trait in chosen(hunt, "traits")}
    told = tell_releases(releases, hunted(hunt))
    packs = packs_of(hunt, releases)
    rows = []
    for place in places:
        release = release_of(place)
        missing, have, known = missing_of(hunt, release, told, owned, counting)
        missing += packs.get(release.pk, [])
        if missing:
            assortment = place.assortment if isinstance(place, AssortmentItem) else None
            rows.append(
                HuntRow(
                    release=release,
                    assortment=assortment,
                    per_case=place.per_case if isinstance(place, AssortmentItem) else None,
                    missing=missing[:MOST_OF_ONE],
                    more=max(0, len(missing) - MOST_OF_ONE),
                    owned=have,
                    known=known,
                    unchecked=owned.unchecked.get(release.pk, 0),
                    listed=told.listed.get(release.pk, []),
                    seen=sorted(told.seen.get(release.pk, ())),
                )
            )
    return rows


def release_of(place: AssortmentItem | Release) -> Release:
    return place.release if isinstance(place, AssortmentItem) else place


def owned_among(member: int, releases: Iterable[int]) -> Owned:
    """Queries: 1."""
    unchecked: dict[int, int] = defaultdict(int)
    variants: set[int] = set()
    found: set[int] = set()
    items = CabinetItem.objects.filter(member=member, release__in=list(releases))
    for release, variant, survivor, count in items.values_list(
        "release", "variant", "variant__merged_into", "count"
    ):
        found.add(release)
        if variant:
            variants |= {variant, survivor or variant}
        else:
            unchecked[release] += count
    return Owned(variants, found, unchecked)


def missing_of(
    hunt: Hunt, release: Release, told: Told, owned: Owned, counting: set[str]
) -> tuple[list[Missing], int, int]:
    """What is missing of a release, and how many of how many kinds are owned."""
    if hunt.depth == Depth.CASTING:
        return [Missing("casting", release.casting, Sentence("any of its releases"))], 0, 1
    wanted = told.wanted[release.pk]
    if hunt.depth == Depth.RELEASE or not wanted:
        have = int(release.pk in owned.releases)
        words = Sentence("any of its variants") if wanted else Sentence("no variant of it is known yet")
        return [] if have else [Missing("release", release, words)], have, 1
    numbers = list(range(len(wanted)))
    if hunt.depth == Depth.TRAITS:
        numbers = kinds([each.states for each in wanted], counting)
    groups: dict[int, list[Wanted]] = defaultdict(list)
    for number, each in zip(numbers, wanted, strict=True):
        groups[number].append(each)
    lines = [(group[0].tell, group[0].in_pack) for group in groups.values()]
    if hunt.depth == Depth.TRAITS:
        lines = tell_kinds(told, release.pk, groups.values(), counting)
    found = [
        Missing("variant", first.variant, tell, in_pack, or_else=[each.variant for each in others])
        for (first, *others), (tell, in_pack) in zip(groups.values(), lines, strict=True)
        if not any(each.variant.pk in owned.variants for each in (first, *others))
    ]
    return found, len(groups) - len(found), len(groups)


def packs_of(hunt: Hunt, releases: Iterable[int]) -> dict[int, list[Missing]]:
    """Versions of the pack that are missing, by release; each counts once, not with every variant. Queries: 0-1."""
    if hunt.depth != Depth.PACK:
        return {}
    own = CabinetItem.objects.filter(member=hunt.member_id)
    found: dict[int, list[Missing]] = defaultdict(list)
    lacked = versions(own).filter(pack__contents__release__in=list(releases)).select_related("pack")
    for version in lacked.order_by("pack__name", "pk").annotate(of=F("pack__contents__release")):
        found[version.of].append(Missing("packversion", version, words_of(version)))
    return found


def words_of(version: PackVersion) -> str:
    """How to tell a version of the pack: what was noted of it."""
    parts = (
        version.card_art and Sentence("card: %(what)s", what=version.card_art),
        version.language and Sentence("language: %(what)s", what=version.language),
        version.blister and Sentence("blister: %(what)s", what=version.blister),
        version.insert and Sentence("insert: %(what)s", what=version.insert),
        version.codes and Sentence("codes: %(what)s", what=version.codes),
    )
    return joined((part for part in parts if part), SEMICOLON)
