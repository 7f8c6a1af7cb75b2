"""Lengths as people type them: millimetres, kept as whole micrometres."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms


def millimetres(label: Any, most: int, **more: Any) -> forms.DecimalField:
    """A length in millimetres; its cleaned value goes through `micrometres`."""
    attributes = {"step": "0.001", "inputmode": "decimal", "class": "small"}
    return forms.DecimalField(
        label=label,
        min_value=Decimal("0.001"),
        max_value=most,
        decimal_places=3,
        widget=forms.NumberInput(attrs=attributes),
        **more,
    )


def micrometres(typed: Decimal | None) -> int | None:
    return None if typed is None else int(typed * 1000)
