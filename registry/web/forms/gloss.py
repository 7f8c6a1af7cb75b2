"""What a gloss meter showed, as people type it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.actions.gloss import LONGEST_INSTRUMENT
from registry.methods.gloss_meter import MOST
from registry.models import Example, GlossReading

from .base import Form


class GlossForm(Form):
    """Which item, which angle, what the meter showed."""

    aliases = {"tenths": "gloss_units"}
    example = forms.ModelChoiceField(
        Example.objects.none(), to_field_name="public_id", label=_("On which item?"), empty_label=None
    )
    geometry = forms.TypedChoiceField(
        choices=[
            (60, _("60°: take this first")),
            (20, _("20°: for shiny coats")),
            (85, _("85°: for dull coats")),
        ],
        coerce=int,
        widget=forms.RadioSelect,
        label=_("Angle of the meter"),
        initial=60,
    )
    gloss_units = forms.DecimalField(
        label=_("Gloss units it showed"),
        min_value=0,
        max_value=round(MOST),
        decimal_places=1,
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal", "class": "small"}),
    )
    instrument = forms.CharField(
        max_length=LONGEST_INSTRUMENT,
        required=False,
        label=_("About the meter"),
        help_text=_("How small its spot is, and when it was last set on its black glass."),
    )

    def __init__(self, examples: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["example"].queryset = examples  # type: ignore[attr-defined]

    def said(self) -> dict[str, Any]:
        """What the action is told."""
        typed = dict(self.cleaned_data)
        units: Decimal = typed.pop("gloss_units")
        return {**typed, "tenths": int(units * 10)}


class RemoveGlossForm(Form):
    """Which reading to take back, and why."""

    reading = forms.ModelChoiceField(
        GlossReading.objects.none(), to_field_name="public_id", label=_("Reading"), empty_label=_("choose")
    )
    reason = forms.CharField(max_length=300, label=_("Why"))

    def __init__(self, readings: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reading"].queryset = readings  # type: ignore[attr-defined]
