"""How shiny the paint in a mark looks."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry.queries.shine import Shine, judged, marks_to_judge

from ..serializers.shine import ShineOutput
from ..visibility import visible_photos
from .rows import RowView


class MarkShine(RowView):
    serializer_class = ShineOutput
    parameters = ("fields",)

    def rows(self) -> Any:
        return marks_to_judge(visible_photos(self.request))

    def get(self, request: Request, public_id: str) -> Response:
        """How shiny the paint in a mark looks, by the highlight that a raking lamp throws on it; a cue, no verdict.

        For marks on details of kind `finish`; any other mark has no such answer (404).
        """
        return self.show(answer(judged(self.row(public_id))))


def answer(told: Shine) -> dict[str, Any]:
    cue = told.cue
    return {
        "mark": told.mark.public_id,
        "looks": cue.looks if cue else None,
        "roughness": {
            "likely": round(cue.roughness * 100),
            "low": round(cue.low * 100),
            "high": round(cue.high * 100),
        }
        if cue
        else None,
        "sentence": told.sentence,
    }
