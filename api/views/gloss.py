"""Readings of gloss meters."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Claim, GlossReading
from registry.queries.gloss import told

from .. import filters
from ..problems import Problem
from ..serializers.gloss import ClaimGlossInput, GlossInput, GlossOutput
from .claims import refuse_gone
from .rows import ListView, RecordView

READ = {
    "example": "4k7d9xwpm2cx",
    "geometry": 60,
    "tenths": 124,
    "instrument": "2 mm spot, black glass today",
}


class GlossList(ListView):
    serializer_class = GlossOutput
    record_name = "gloss-reading"

    def rows(self) -> Any:
        return told(GlossReading.objects.standing())

    def keep(self, **said: Any) -> Response:
        kept = actions.add_gloss_reading(**self.deed, **said)
        return self.created(told(GlossReading.objects.all()).get(pk=kept.pk))


class GlossReadings(GlossList):
    """What gloss meters showed, without what was taken back."""

    filterset_class = filters.GlossFilters
    inputs = {"POST": GlossInput}

    @extend_schema(
        examples=[
            OpenApiExample("Of a claim", value={**READ, "claim": "9xwp4k7dm2cx"}, request_only=True),
            OpenApiExample("Of a trait", value={**READ, "trait": "m2cx9xwp4k7d"}, request_only=True),
        ]
    )
    def post(self, request: Request) -> Response:
        """Write down what a gloss meter showed on one example, and learn whether another angle tells more."""
        said = self.asked()
        if claim := said.get("claim"):
            refuse_gone(claim)
        return self.keep(**said)


class ClaimGlossReadings(GlossList):
    """What gloss meters showed for one claim, without what was taken back."""

    inputs = {"POST": ClaimGlossInput}

    def rows(self) -> Any:
        return told(GlossReading.objects.standing().on([self.claim()]))

    @extend_schema(examples=[OpenApiExample("At 60 degrees", value=READ, request_only=True)])
    def post(self, request: Request, public_id: str) -> Response:
        """Write down what a gloss meter showed for this claim; it is of a trait of kind finish."""
        said, claim = self.asked(), self.claim()
        refuse_gone(claim)
        return self.keep(claim=claim, **said)

    def claim(self) -> Claim:
        related = ("variant__merged_into", "trait__merged_into")
        claim = Claim.objects.filter(public_id=self.kwargs["public_id"]).select_related(*related).first()
        if claim is None:
            raise Problem("not-found")
        return claim


class GlossRecord(RecordView):
    serializer_class = GlossOutput
    write_parameters = {"DELETE": ("reason",)}

    def rows(self) -> Any:
        return told(GlossReading.objects.standing())

    def delete(self, request: Request, public_id: str) -> Response:
        """Take back a reading that is wrong: who wrote it down, or a moderator."""
        reason = request.query_params.get("reason", "")
        actions.remove_gloss_reading(reading=self.row(public_id), **self.deed, reason=reason)
        return Response(status=204)
