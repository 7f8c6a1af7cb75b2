"""Makers, lines, castings, releases, assortments and packs: their lists and records."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import (
    Assortment,
    AssortmentItem,
    Availability,
    CaseContent,
    Casting,
    Drift,
    Line,
    Maker,
    Pack,
    PackContent,
    Release,
    Role,
)

from .. import filters
from ..serializers import catalogue as out
from ..serializers import catalogue_input as into
from .curation import AcceptView, CuratedRecord, CuratedRow, MergeView
from .rows import ListView, RecordView


class CatalogueList(ListView):
    """A list to which moderators add."""

    roles = {"POST": Role.MODERATOR}
    add: Any = None

    def post(self, request: Request) -> Response:
        """Add one to the catalogue; for moderators."""
        made = type(self).add(**self.deed, **self.asked())
        return self.created(self.rows().get(pk=made.pk))


class Makers(CatalogueList):
    """Who makes it."""

    serializer_class = out.MakerOutput
    filterset_class = filters.MakerFilters
    inputs = {"POST": into.MakerInput}
    record_name = "maker"
    add = staticmethod(actions.add_maker)

    def rows(self) -> Any:
        return Maker.objects.all()


class MakerRecord(RecordView):
    serializer_class = out.MakerOutput

    def rows(self) -> Any:
        return Maker.objects.all()


class Lines(CatalogueList):
    """Product lines, each at one scale."""

    serializer_class = out.LineOutput
    filterset_class = filters.LineFilters
    inputs = {"POST": into.LineInput}
    record_name = "line"
    add = staticmethod(actions.add_line)

    def rows(self) -> Any:
        return Line.objects.select_related("maker")


class LineRecord(RecordView):
    serializer_class = out.LineOutput

    def rows(self) -> Any:
        return Line.objects.select_related("maker")


class Castings(CatalogueList):
    """Tooled vehicle models, accepted or proposed."""

    serializer_class = out.CastingOutput
    filterset_class = filters.CastingFilters
    inputs = {"POST": into.CastingInput}
    record_name = "casting"
    add = staticmethod(actions.add_casting)

    def rows(self) -> Any:
        return Casting.objects.current().select_related("maker")


class OfCasting:
    serializer_class = out.CastingOutput
    record_name = "casting"

    def rows(self) -> Any:
        return Casting.objects.select_related("maker", "merged_into")


class CastingRecord(OfCasting, CuratedRecord):
    inputs = {"PATCH": into.CastingRename}


class CastingAccept(OfCasting, AcceptView):
    pass


class CastingMerge(OfCasting, MergeView):
    inputs = {"POST": into.CastingMerge}


def releases(rows: Any) -> Any:
    """Releases with all that their answer shows, at a fixed number of queries."""
    return rows.select_related(
        "casting__maker", "casting__merged_into", "line", "reissue_of__merged_into", "merged_into"
    ).prefetch_related(
        Prefetch("assortments", Assortment.objects.order_by("public_id")),
        Prefetch("packs", Pack.objects.current().order_by("public_id")),
        Prefetch("availability", Availability.objects.order_by("on", "pk")),
        Prefetch("drifts", Drift.objects.select_related("trait__merged_into").order_by("pk")),
    )


class Releases(CatalogueList):
    """Issues of a casting under one name, number, year and livery, accepted or proposed."""

    serializer_class = out.ReleaseOutput
    filterset_class = filters.ReleaseFilters
    inputs = {"POST": into.ReleaseInput}
    record_name = "release"
    add = staticmethod(actions.add_release)

    def rows(self) -> Any:
        return releases(Release.objects.current())


class OfRelease:
    serializer_class = out.ReleaseOutput
    record_name = "release"

    def rows(self) -> Any:
        return releases(Release.objects.all())


class ReleaseRecord(OfRelease, CuratedRecord):
    inputs = {"PATCH": into.ReleaseRename}


class ReleaseAccept(OfRelease, AcceptView):
    pass


class ReleaseMerge(OfRelease, MergeView):
    inputs = {"POST": into.ReleaseMerge}


def assortments() -> Any:
    items = AssortmentItem.objects.select_related("release__merged_into").order_by("release__public_id")
    contents = CaseContent.objects.select_related("variant").order_by("variant__public_id")
    return Assortment.objects.select_related("line").prefetch_related(
        Prefetch("items", items), Prefetch("case_contents", contents)
    )


class Assortments(CatalogueList):
    """Retail mixes of releases shipped together."""

    serializer_class = out.AssortmentOutput
    filterset_class = filters.AssortmentFilters
    inputs = {"POST": into.AssortmentInput}
    record_name = "assortment"
    add = staticmethod(actions.add_assortment)

    def rows(self) -> Any:
        return assortments()


class AssortmentRecord(RecordView):
    serializer_class = out.AssortmentOutput

    def rows(self) -> Any:
        return assortments()


class AssortmentCases(CuratedRow):
    """What one case of an assortment holds of a variant."""

    serializer_class = out.AssortmentOutput
    inputs = {"POST": into.CaseContentInput}

    def rows(self) -> Any:
        return assortments()

    def post(self, request: Request, public_id: str) -> Response:
        """Say how many of a variant one case holds; for moderators. Said again, the newer word stands."""
        row = self.row(public_id)
        actions.say_case_content(assortment=row, **self.deed, **self.asked())
        return self.again(row)


def packs(rows: Any) -> Any:
    contents = PackContent.objects.select_related("release__merged_into").order_by("release__public_id")
    return rows.select_related("line", "merged_into").prefetch_related(
        Prefetch("contents", contents),
        "versions",
        Prefetch("availability", Availability.objects.order_by("on", "pk")),
    )


class Packs(CatalogueList):
    """How releases are sold, with the versions of each pack."""

    serializer_class = out.PackOutput
    filterset_class = filters.PackFilters
    inputs = {"POST": into.PackInput}
    record_name = "pack"
    add = staticmethod(actions.add_pack)

    def rows(self) -> Any:
        return packs(Pack.objects.current())


class OfPack:
    serializer_class = out.PackOutput
    record_name = "pack"

    def rows(self) -> Any:
        return packs(Pack.objects.all())


class PackRecord(OfPack, CuratedRecord):
    inputs = {"PATCH": into.PackRename}


class PackAccept(OfPack, AcceptView):
    pass


class PackMerge(OfPack, MergeView):
    inputs = {"POST": into.PackMerge}
