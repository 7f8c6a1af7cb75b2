"""What a bar code may stand for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce

from registry.models import Acceptance, CabinetItem, Member, Pack, PackContent, Release

MOST_BEHIND = 200


@dataclass(frozen=True)
class Behind:
    """Packs with the code, and the releases that may be in one: one of these. Each says how many are `owned`."""

    code: str
    packs: list[Pack]
    releases: list[Release]


def codes_of(releases: Iterable[int]) -> dict[str, list[str]]:
    """Ids of the releases that may be behind each code, of these. Queries: 1."""
    found: dict[str, list[str]] = {}
    rows = PackContent.objects.filter(release__in=list(releases)).exclude(pack__gtin="")
    rows = rows.exclude(pack__acceptance=Acceptance.MERGED).order_by("pk")
    for code, release in rows.values_list("pack__gtin", "release__public_id"):
        found.setdefault(code, []).append(release)
    return found


def behind_code(code: str, member: Member) -> Behind:
    """`code`: a GTIN of 14 digits. Queries: 2."""
    packs = Pack.objects.current().filter(gtin=code)
    own = CabinetItem.objects.filter(member=member, release=OuterRef("pk")).values("release")
    owned = Coalesce(Subquery(own.annotate(sum=Sum("count")).values("sum")), 0)
    inside = Release.objects.current().filter(packs__in=packs).distinct().order_by("number", "name")
    releases = inside.select_related("line", "casting").annotate(owned=owned)
    return Behind(code, list(packs.order_by("name")), list(releases[:MOST_BEHIND]))
