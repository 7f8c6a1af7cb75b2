"""Two photos laid one over the other."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry.actions import parse_fragment
from registry.errors import InvalidField
from registry.queries.compare import View, compared

from ..parameters import out_of_range, public_id
from ..problems import Problem
from ..serializers.compare import ComparisonOutput
from ..throttles import CompareThrottle, ReadThrottle
from ..visibility import visible_photos
from .base import ApiView


class Compare(ApiView):
    serializer_class = ComparisonOutput
    throttle_classes = [ReadThrottle, CompareThrottle]
    parameters = ("a", "b", "a_xywh", "b_xywh", "mirrored")
    may_be_missing = True
    may_be_gone = True

    def get(self, request: Request) -> Response:
        """Lay `b` over `a`, and list where they differ, each place with the marks that touch it; or say why they do not
        fit. Two regions of one photo may be compared, such as two examples side by side. Photos never change, so what
        was answered once is kept. Marks come and go, so use the ETag.
        """
        said = request.query_params
        mirrored = said.get("mirrored", "false")
        if mirrored not in ("true", "false"):
            raise out_of_range("mirrored", mirrored, "Choose true or false.")
        return self.show(compared(self.view("a"), self.view("b"), mirrored == "true"))

    def view(self, name: str) -> View:
        said = self.request.query_params
        if name not in said:
            raise out_of_range(name, "", "Give the id of a photo.")
        photo: Any = self.pick(visible_photos(self.request), public_id(name, said[name]))
        if photo.taken_down_at:
            raise Problem("taken-down")
        region = said.get(f"{name}_xywh")
        try:
            return View(photo, None if region is None else parse_fragment(region))
        except InvalidField as refusal:
            raise out_of_range(f"{name}_xywh", region or "", refusal.remedy) from None
