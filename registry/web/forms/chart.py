"""The corners of a chart in a photograph, as eight numbers: percent of its width and height."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.models import ChartKind, Mark
from registry.sentences import Sentence

from .base import Form

CORNERS = (1, 2, 3, 4)
OVER = Decimal(2)
"""Percent that a corner may lie outside: a frame may be cut off while every patch is inside."""


def percent(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        min_value=-OVER,
        max_value=100 + OVER,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal", "class": "percent"}),
    )


class ChartForm(Form):
    """Which chart it is, and its four corners in any order. A script moves them on the picture."""

    kind = forms.ChoiceField(
        choices=[choice for choice in ChartKind.choices if choice[0] != ChartKind.NONE],
        label=_("What is it?"),
        widget=forms.RadioSelect,
        initial=ChartKind.PATCH_CHART,
    )
    aliases = {"corners": "x1"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in CORNERS:
            self.fields[f"x{number}"] = percent(
                Sentence("Corner %(number)s, from the left %%", number=number)
            )
            self.fields[f"y{number}"] = percent(Sentence("Corner %(number)s, from the top %%", number=number))

    def places(self) -> list[Any]:
        """The eight fields, for the page."""
        return [self[f"{axis}{number}"] for number in CORNERS for axis in "xy"]

    def corners(self) -> list[tuple[float, float]]:
        said = self.cleaned_data
        return [(float(said[f"x{number}"]), float(said[f"y{number}"])) for number in CORNERS]


def placed(kind: str, percents: Sequence[Sequence[float]]) -> dict[str, Any]:
    """The form's first values, from a chart that is there or was found."""
    said: dict[str, Any] = {"kind": kind}
    for number, (x, y) in zip(CORNERS, percents, strict=False):
        said |= {f"x{number}": x, f"y{number}": y}
    return said


class BesideForm(Form):
    """Two marks of a photograph to hold against each other."""

    one = forms.ChoiceField(label=_("This mark"))
    other = forms.ChoiceField(label=_("and this one"))

    def __init__(self, marks: Iterable[tuple[int, Mark]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.marks = {mark.public_id: mark for _, mark in marks}
        choices = [
            (mark.public_id, f"{number}: {mark.claim.trait.survivor} {mark.claim.state.survivor}")
            for number, mark in marks
        ]
        for name in ("one", "other"):
            self.fields[name].choices = choices  # type: ignore[attr-defined]
        if len(choices) > 1 and not self.is_bound:
            self.initial = {"one": choices[0][0], "other": choices[1][0]}
