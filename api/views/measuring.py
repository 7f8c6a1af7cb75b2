"""Lengths taken on photos."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Measurement
from registry.queries.measured import told

from .. import filters
from ..serializers.measuring import MeasurementInput, MeasurementOutput
from ..visibility import visible_photos
from .claims import refuse_gone
from .photos import photos
from .rows import ListView, RecordView

EXAMPLE = {
    "photo": "xwpm2cx4k7d9",
    "example": "4k7d9xwpm2cx",
    "claim": "9xwp4k7dm2cx",
    "known_by": "wheelbase",
    "reference": [[3000, 5600], [7000, 5600]],
    "measured": [[4770, 4100], [5220, 4100]],
    "distance_mm": 400,
}


class MeasurementList(ListView):
    serializer_class = MeasurementOutput
    creates = False

    def rows(self) -> Any:
        return told(Measurement.objects.standing().filter(photo__in=visible_photos(self.request)))


class Measurements(MeasurementList):
    """Lengths taken on photos, without those taken back."""

    filterset_class = filters.MeasurementFilters
    inputs = {"POST": MeasurementInput}
    creates = True
    record_name = "measurement"

    @extend_schema(examples=[OpenApiExample("Against the wheelbase", value=EXAMPLE, request_only=True)])
    def post(self, request: Request) -> Response:
        """Measure between two points of a photo against a known length on it, and see which states that fits."""
        said = self.asked()
        if claim := said.get("claim"):
            refuse_gone(claim)
        kept = actions.measure_on_photo(**self.deed, **said)
        return self.created(self.rows().get(pk=kept.pk))


class PhotoMeasurements(MeasurementList):
    """The lengths taken on one photo."""

    def rows(self) -> Any:
        return super().rows().filter(photo=self.pick(photos(self.request), self.kwargs["public_id"]))


class MeasurementRecord(RecordView):
    serializer_class = MeasurementOutput
    write_parameters = {"DELETE": ("reason",)}

    def rows(self) -> Any:
        return told(Measurement.objects.filter(photo__in=visible_photos(self.request), removed_at=None))

    def delete(self, request: Request, public_id: str) -> Response:
        """Take a measurement back that is wrong: who made it, or a moderator."""
        reason = request.query_params.get("reason", "")
        actions.remove_measurement(measurement=self.row(public_id), **self.deed, reason=reason)
        return Response(status=204)
