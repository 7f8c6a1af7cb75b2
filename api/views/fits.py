"""Fits: what was learnt from votes, and which of it is in force. Rates of single reviewers are told to nobody."""

from __future__ import annotations

from typing import Any

from django.db.models import BooleanField, Case, Prefetch, Subquery, Value, When
from rest_framework.request import Request
from rest_framework.response import Response

from registry.models import Fit, FitAdoption, FitRate

from ..parameters import LARGEST
from ..problems import Problem
from ..serializers.fits import FitOutput, FitRecordOutput
from .base import ApiView
from .rows import ListView


def fits() -> Any:
    current = Subquery(FitAdoption.objects.order_by("-pk").values("fit")[:1])
    in_force = Case(When(pk=current, then=Value(True)), default=Value(False), output_field=BooleanField())
    return Fit.objects.select_related("policy").annotate(in_force=in_force)


class Fits(ListView):
    """All fits, oldest first, adopted or not."""

    serializer_class = FitOutput
    sort_keys = {"number": ("number",)}
    creates = False

    def rows(self) -> Any:
        return fits()


class FitRecord(ApiView):
    serializer_class = FitRecordOutput
    parameters = ("fields",)

    def get(self, request: Request, number: str) -> Response:
        """One fit with everybody's rates."""
        everybody = FitRate.objects.filter(member=None).order_by("kind", "in_hand")
        adopted = FitAdoption.objects.order_by("pk")
        rows = fits().prefetch_related(
            Prefetch("rates", everybody, to_attr="population"),
            Prefetch("adoptions", adopted, to_attr="adopted"),
        )
        is_number = number.isascii() and number.isdigit() and len(number) < 11 and int(number) <= LARGEST
        fit = rows.filter(number=int(number)).first() if is_number else None
        if fit is None:
            raise Problem("not-found", "There is no fit of that number; /v1/fits lists all.")
        return self.show(fit)
