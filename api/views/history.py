"""A variant through time: what differs between two points, and the chain of its revisions as W3C PROV."""

from __future__ import annotations

import orjson
from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from registry.queries.provenance import provenance_of
from registry.queries.then import differences, past

from ..parameters import out_of_range
from ..renderers import LinkedDataRenderer
from ..serializers.history import DifferencesOutput, ProvenanceOutput
from .points import point
from .variants import VariantView


class Differences(VariantView):
    serializer_class = DifferencesOutput
    parameters = ("from", "to", "fields")

    def get(self, request: Request, public_id: str) -> Response:
        """What differs between two revisions, days or moments: by whom, why, and on which photos it is seen."""
        known, sides = past(self.variant()), []
        for name in ("from", "to"):
            if name not in request.query_params:
                raise out_of_range(name, "", "Give a revision's number, a day or a moment.")
            sides.append(point(known, name, request.query_params[name]))
        before, after = sides
        told = {"variant": known.variant.public_id, "before": before, "after": after}
        return self.show(told | {"differences": differences(known, before, after)})


class Provenance(VariantView):
    serializer_class = ProvenanceOutput
    renderer_classes = [LinkedDataRenderer]

    def get(self, request: Request, public_id: str) -> HttpResponse:
        """The chain of revisions as JSON-LD in the words of W3C PROV-O: what wrote each, who, when, on what photos."""
        told = provenance_of(self.variant())
        return HttpResponse(orjson.dumps(told), content_type=LinkedDataRenderer.media_type)
