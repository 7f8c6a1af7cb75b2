"""Filters of what is made and how it is sold."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet

from registry.models import Acceptance, Release

from .base import Filters, IdFilter, KeyFilter, TextFilter, WordFilter

WAITING = [(word.value, word.label) for word in (Acceptance.ACCEPTED, Acceptance.PROPOSED)]


def acceptance() -> WordFilter:
    return WordFilter(WAITING, "acceptance", "Accepted by a moderator, or proposed and waiting.")


class InLine(IdFilter):
    """Castings that appear in a line."""

    def filter(self, qs: QuerySet, value: str) -> QuerySet:
        held = Release.objects.current().filter(casting=OuterRef("pk"), line__public_id=value)
        return qs.filter(Exists(held)) if value else qs


class MakerFilters(Filters):
    q = TextFilter("maker")


class LineFilters(Filters):
    maker = IdFilter("maker", "maker")
    q = TextFilter("line")


class CastingFilters(Filters):
    maker = IdFilter("maker", "maker")
    line = InLine("line", "line")
    acceptance = acceptance()
    q = TextFilter("casting")


class ReleaseFilters(Filters):
    maker = IdFilter("maker", "casting__maker")
    line = IdFilter("line", "line")
    casting = IdFilter("casting", "casting")
    assortment = IdFilter("assortment", "assortment_items__assortment")
    pack = IdFilter("pack", "pack_contents__pack")
    acceptance = acceptance()
    q = TextFilter("release")


class AssortmentFilters(Filters):
    line = IdFilter("line", "line")
    release = IdFilter("release", "items__release")
    q = TextFilter("assortment")


class PackFilters(Filters):
    line = IdFilter("line", "line")
    release = IdFilter("release", "contents__release")
    acceptance = acceptance()
    q = TextFilter("pack")


class TraitFilters(Filters):
    line = IdFilter("line", "line")
    casting = IdFilter("casting", "casting")
    release = IdFilter("release that adopts it", "adoptions__release")
    key = KeyFilter("Its immutable key.")
    acceptance = acceptance()
    q = TextFilter("trait")


class StateFilters(Filters):
    trait = IdFilter("trait", "trait")
    key = KeyFilter("Its immutable key.")
    acceptance = acceptance()
    q = TextFilter("state")
