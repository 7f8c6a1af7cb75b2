"""What a photograph's page says of colours: by which chart, on which mark, two marks side by side."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest
from django.urls import reverse

from registry.actions.colours import may_place
from registry.models import Chart, Mark, Photo, Release
from registry.queries import colours
from registry.web.forms.chart import BesideForm, ChartForm, placed
from registry.web.looks import measured_word
from registry.web.people import reader


def on_page(
    request: HttpRequest, photo: Photo, marks: list[Mark], release: Release | None, form: ChartForm | None
) -> dict[str, Any]:
    """For the marks of `marks_on`. Queries: 2, and 3 more where two marks are compared."""
    colours.tell((mark, mark.claim) for mark in marks)
    chart = colours.latest_chart(photo)
    readable = {mark.pk for mark in colours.comparable(marks)}
    numbered = [(number, mark) for number, mark in enumerate(marks, 1) if mark.pk in readable]
    beside = BesideForm(numbered, request.GET if "one" in request.GET else None, auto_id="beside_%s")
    return {
        "chart": chart,
        "chart_form": (form or first_form(chart)) if is_placer(request, photo) else None,
        "beside_form": beside if len(numbered) > 1 else None,
        "beside": compared(beside),
        "askable": askable(marks, release),
    }


def is_placer(request: HttpRequest, photo: Photo) -> bool:
    member = reader(request)
    return member is not None and may_place(photo, member)


def first_form(chart: Chart | None) -> ChartForm:
    initial = placed(chart.kind, chart.percents) if chart else {}
    return ChartForm(initial=initial, auto_id="chart_%s")


def compared(form: BesideForm) -> colours.Beside | None:
    if not form.is_bound or not form.is_valid():
        return None
    said = form.cleaned_data
    return colours.beside(form.marks[said["one"]], form.marks[said["other"]])


def askable(marks: list[Mark], release: Release | None) -> list[dict[str, Any]]:
    """For each item in sight on which something was measured, the address that asks which one it is."""
    if release is None:
        return []
    address = reverse("identify-release", kwargs={"public_id": release.public_id})
    found = []
    for item in colours.measured_by_example(marks):
        query = urlencode({trait: measured_word(lab, error) for trait, (lab, error) in item.said.items()})
        numbers = [
            number
            for number, mark in enumerate(marks, 1)
            if mark.example_id == item.example.pk and mark.told and mark.told.lab
        ]
        found.append(
            {
                "example": item.example,
                "count": len(item.said),
                "numbers": numbers,
                "address": f"{address}?{query}",
            }
        )
    return found
