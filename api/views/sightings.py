"""Sightings, and disputes of claims and statements."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch
from drf_spectacular.utils import OpenApiTypes
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import CountLine, Dispute, HeldDispute, Role, Sighting, Variant

from .. import filters
from ..parameters import out_of_range
from ..parsers import LinesParser, TableParser
from ..serializers import sightings as shape
from ..serializers.shared import Nothing, ReasonInput
from .base import ApiView
from .claims import refuse_gone
from .rows import ListView, RecordView, RowView


def sightings() -> Any:
    named = Prefetch("variants", Variant.objects.select_related("merged_into"))
    lines = CountLine.objects.prefetch_related(named).order_by("pk")
    related = ("by", "release__merged_into", "pack__merged_into", "pack_version", "example")
    return Sighting.objects.select_related(*related).prefetch_related(
        Prefetch("count_lines", lines), "traits_seen"
    )


class Sightings(ListView):
    """What was seen where, without what was taken back."""

    serializer_class = shape.SightingOutput
    filterset_class = filters.SightingFilters
    sort_keys = {"id": ("public_id",), "seen": ("seen_on", "public_id")}
    inputs = {"POST": shape.SightingInput}
    record_name = "sighting"

    def rows(self) -> Any:
        return sightings().filter(withdrawn_at=None)

    def post(self, request: Request) -> Response:
        """Report a find, or a full count of all that was there."""
        made = actions.report_sighting(**self.deed, **self.asked())
        return self.created(self.rows().get(pk=made.pk))


SHEET: Any = {"text/csv": OpenApiTypes.STR, "application/x-ndjson": OpenApiTypes.STR}


class SightingsImport(ApiView):
    """A file of your own sightings."""

    serializer_class = shape.ImportOutput
    parser_classes = [TableParser, LinesParser]
    inputs = {"POST": SHEET}
    write_parameters = {"POST": ("dry_run",)}

    def post(self, request: Request) -> Response:
        """Keep every sighting of a file, or none where a line has a fault: `faults` of the problem names each.

        NDJSON: one object on each line, as /v1/sightings takes it. CSV: a head row with `key`, `release`, `scope`,
        `seen_on`, `counts` and further members as columns; `counts` reads as `ID = 3; ID or ID = 1; none known = 2;
        could not tell = 1`. At most 5,000 lines and 1 MB. A line whose `key` you have used before counts once.
        """
        asked = request.query_params.get("dry_run", "false")
        if asked not in ("true", "false"):
            raise out_of_range("dry_run", asked, "Say true or false.")
        sent: Any = request.data or {"data": b""}  # no body at all reaches no parser
        return self.show(actions.import_sightings(**self.deed, data=sent["data"], dry_run=asked == "true"))


class SightingRecord(RecordView):
    serializer_class = shape.SightingOutput

    def rows(self) -> Any:
        return sightings()


class SightingWithdraw(RowView):
    serializer_class = shape.SightingOutput
    inputs = {"POST": Nothing}

    def rows(self) -> Any:
        return sightings()

    def post(self, request: Request, public_id: str) -> Response:
        """Take your sighting back. It stays readable, and no longer counts."""
        self.asked()
        row = self.row(public_id)
        actions.withdraw_sighting(sighting=row, **self.deed)
        return self.show(self.rows().get(pk=row.pk))


def disputes() -> Any:
    related = ("claim", "statement", "rival__state__merged_into", "opened_by", "closed_by")
    return Dispute.objects.select_related(*related)


class Disputes(ListView):
    """Objections to claims and statements, open and closed."""

    serializer_class = shape.DisputeOutput
    filterset_class = filters.DisputeFilters
    inputs = {"POST": shape.DisputeInput}
    also_answers = {"POST": {202: shape.HeldOutput}}
    write_scopes = ("review",)
    record_name = "dispute"

    def rows(self) -> Any:
        return disputes()

    def post(self, request: Request) -> Response:
        """Object to a claim, naming the state seen instead, or to a statement. Add a photo, or it contests nothing.

        Answered with 202 and `outcome` = `held` where you have disputed the same person's records over and over:
        a moderator looks at it first.
        """
        said = self.asked()
        if claim := said.get("claim"):
            refuse_gone(claim)
        made = actions.open_dispute(**self.deed, **said)
        if isinstance(made, HeldDispute):
            return Response(shape.HeldOutput(made).data, status=202)
        return self.created(self.rows().get(pk=made.pk))


class DisputeRecord(RecordView):
    serializer_class = shape.DisputeOutput

    def rows(self) -> Any:
        return disputes()


class DisputeWithdraw(RowView):
    serializer_class = shape.DisputeOutput
    inputs = {"POST": Nothing}
    write_scopes = ("review",)

    def rows(self) -> Any:
        return disputes()

    def post(self, request: Request, public_id: str) -> Response:
        """Take your objection back."""
        self.asked()
        row = self.row(public_id)
        actions.withdraw_dispute(dispute=row, **self.deed)
        return self.show(self.rows().get(pk=row.pk))


class DisputeClose(RowView):
    serializer_class = shape.DisputeOutput
    inputs = {"POST": ReasonInput}
    roles = {"POST": Role.MODERATOR}

    def rows(self) -> Any:
        return disputes()

    def post(self, request: Request, public_id: str) -> Response:
        """Uphold the claim, with a reason; for moderators."""
        row = self.row(public_id)
        actions.close_dispute(dispute=row, **self.deed, **self.asked())
        return self.show(self.rows().get(pk=row.pk))
