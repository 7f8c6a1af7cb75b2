"""Four numbers that say where on a picture: percent of its width and height, from the top left corner."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.actions import parse_fragment
from registry.errors import InvalidField
from registry.sentences import said

from .base import Form

NONE, LEAST = Decimal(0), Decimal("0.01")
PARTS = ("left", "top", "width", "height")


def percent(label: Any, least: Decimal) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        min_value=least,
        max_value=100,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal", "class": "percent"}),
    )


class RegionForm(Form):
    """A region of a photograph. A script draws it where there is one."""

    left = percent(_("Left %"), NONE)
    top = percent(_("Top %"), NONE)
    width = percent(_("Width %"), LEAST)
    height = percent(_("Height %"), LEAST)

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        if all(part in typed for part in PARTS):
            try:
                self.region = parse_fragment(self.fragment())
            except InvalidField as refusal:
                self.add_error("left", said(refusal))
        return typed

    def fragment(self) -> str:
        """The region as a Media Fragment."""
        return "percent:" + ",".join(f"{self.cleaned_data[part]:f}" for part in PARTS)
