"""Whose variants may be meant: those of a release, a casting, a line, the packs of a bar code, or all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Count, Max, Subquery
from django.db.models.functions import Coalesce

from registry.errors import UnknownReference
from registry.models import Casting, FitAdoption, Line, Pack, Release, Sighting, Variant

KINDS = ("release", "casting", "line", "gtin", "all")


@dataclass(frozen=True, slots=True)
class Scope:
    """Whose variants may be meant. `name` is a public id, a GTIN of 14 digits, or empty for `all`."""

    kind: str
    name: str = ""


Releases = frozenset[int] | None
"""Keys of releases; None for all."""


def releases_in(scopes: Collection[Scope]) -> dict[Scope, Releases]:
    """The releases of each scope. Queries: at most 2 for each kind of scope."""
    asked: dict[str, set[str]] = defaultdict(set)
    for scope in scopes:
        asked[scope.kind].add(scope.name)
    found: dict[tuple[str, str], set[int]] = {}
    for kind in asked.keys() & {"release", "casting", "line", "gtin"}:
        for name, release in MEMBERS[kind](asked[kind]):
            held = found.setdefault((kind, name), set())
            if release is not None:
                held.add(release)
    answer: dict[Scope, Releases] = {}
    for scope in scopes:
        if scope.kind != "all" and (scope.kind, scope.name) not in found:
            raise UnknownReference(
                f"scope.{scope.kind}", scope.name, f"No {scope.kind} has it. Look it up at /v1/search."
            )
        answer[scope] = None if scope.kind == "all" else frozenset(found[scope.kind, scope.name])
    return answer


def of_releases(names: set[str]) -> Iterable[tuple[str, int | None]]:
    releases = Release.objects.filter(public_id__in=names)
    return list(releases.values_list("public_id", Coalesce("merged_into", "pk")))


def of_castings(names: set[str]) -> Iterable[tuple[str, int | None]]:
    survivors = dict(
        Casting.objects.filter(public_id__in=names).values_list("public_id", Coalesce("merged_into", "pk"))
    )
    return members_of(survivors, "casting")


def of_lines(names: set[str]) -> Iterable[tuple[str, int | None]]:
    return members_of(dict(Line.objects.filter(public_id__in=names).values_list("public_id", "pk")), "line")


def members_of(owners: Mapping[str, int], column: str) -> Iterable[tuple[str, int | None]]:
    current = Release.objects.current().filter(**{f"{column}__in": set(owners.values())})
    held: dict[int, list[int]] = defaultdict(list)
    for owner, release in current.values_list(column, "pk"):
        held[owner].append(release)
    for name, owner in owners.items():
        yield name, None
        yield from ((name, release) for release in held[owner])


def of_gtins(names: set[str]) -> Iterable[tuple[str, int | None]]:
    packs = Pack.objects.current().filter(gtin__in=names)
    release = Coalesce("contents__release__merged_into", "contents__release")
    return list(packs.values_list("gtin", release))


MEMBERS = {"release": of_releases, "casting": of_castings, "line": of_lines, "gtin": of_gtins}


def stamp_of(releases: Releases) -> str:
    """What changes when a table would: the newest change of a variant, full counts, the fit in force. Queries: 2."""
    variants, sightings = Variant.objects.all(), Sighting.objects.filter(is_full_count=True)
    if releases is not None:
        variants, sightings = variants.filter(release__in=releases), sightings.filter(release__in=releases)
    fit = Max(Subquery(FitAdoption.objects.order_by("-pk").values("pk")[:1]))
    newest = variants.aggregate(at=Max("changed_at"), n=Count("pk"), fit=fit)
    counted = sightings.aggregate(last=Max("pk"), back=Count("withdrawn_at"))
    changed = newest["at"] and newest["at"].timestamp()
    return f"{changed}:{newest['n']}:{newest['fit']}:{counted['last']}:{counted['back']}"
