"""A length on a photograph: two points a known length apart, and two points to know it of."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.models import Claim, Example, KnownBy, Measurement

from .base import Form
from .lengths import micrometres, millimetres
from .photos import ClaimChoiceField
from .region import NONE, percent

POINTS = {
    "reference": (("known_x1", "known_y1"), ("known_x2", "known_y2")),
    "measured": (("x1", "y1"), ("x2", "y2")),
}


def whole(label: Any, least: int, most: int, help_text: Any) -> forms.IntegerField:
    widget = forms.NumberInput(attrs={"class": "small", "inputmode": "numeric"})
    return forms.IntegerField(
        label=label, min_value=least, max_value=most, required=False, widget=widget, help_text=help_text
    )


class MeasureForm(Form):
    """Everything but the points may be left as it is. A script sets the points by tapping where there is one."""

    claim = ClaimChoiceField(
        Claim.objects.none(),
        to_field_name="public_id",
        required=False,
        label=_("Which detail is it the size of?"),
        empty_label=_("none of these"),
    )
    example = forms.ModelChoiceField(
        Example.objects.none(), to_field_name="public_id", label=_("On which item?"), empty_label=None
    )
    known_by = forms.ChoiceField(
        choices=KnownBy.choices,
        widget=forms.RadioSelect,
        label=_("Which length is known?"),
        initial="wheelbase",
    )
    known_mm = millimetres(
        _("How long is it? mm"), 1000, required=False, help_text=_("Only for a ruler or the like.")
    )
    known_x1, known_y1 = percent(_("One end, left %"), NONE), percent(_("One end, top %"), NONE)
    known_x2, known_y2 = percent(_("Other end, left %"), NONE), percent(_("Other end, top %"), NONE)
    x1, y1 = percent(_("One end, left %"), NONE), percent(_("One end, top %"), NONE)
    x2, y2 = percent(_("Other end, left %"), NONE), percent(_("Other end, top %"), NONE)
    view = forms.ChoiceField(
        choices=[("square", _("square on to that side")), ("slanted", _("at a slant"))],
        widget=forms.RadioSelect,
        label=_("How was the picture taken?"),
        initial="square",
    )
    same_plane = forms.BooleanField(
        required=False,
        initial=True,
        label=_("Both lines lie on one side of the vehicle, about as far from the camera"),
    )
    distance_cm = whole(
        _("How far away was the camera? cm"), 2, 1000, _("If you know: it makes the answer sharper.")
    )
    pointing_px = whole(
        _("How exactly could you point? pixels"), 1, 200, _("Left empty: as exactly as one usually does.")
    )
    aliases = {
        "known_um": "known_mm", "reference": "known_x1", "measured": "x1", "is_slanted": "view",
        "distance_mm": "distance_cm",
    }  # fmt: skip

    def __init__(
        self, claims: Any, examples: Any, wheelbase_um: int | None, *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["claim"].queryset = claims  # type: ignore[attr-defined]
        self.fields["example"].queryset = examples  # type: ignore[attr-defined]
        if wheelbase_um is None:
            self.fields["known_by"].choices = [(KnownBy.RULER.value, KnownBy.RULER.label)]  # type: ignore[attr-defined]
            self.initial["known_by"] = KnownBy.RULER.value

    def known_points(self) -> list[Any]:
        return [self[name] for place in POINTS["reference"] for name in place]

    def measured_points(self) -> list[Any]:
        return [self[name] for place in POINTS["measured"] for name in place]

    def said(self) -> dict[str, Any]:
        """What the action is told of the length, besides whose it is."""
        typed = self.cleaned_data
        points = {
            line: [[int(typed[x] * 100), int(typed[y] * 100)] for x, y in places]
            for line, places in POINTS.items()
        }
        distance = typed["distance_cm"]
        return {
            **points,
            "known_by": typed["known_by"],
            "known_um": micrometres(typed["known_mm"]),
            "is_slanted": typed["view"] == "slanted",
            "same_plane": typed["same_plane"],
            "distance_mm": None if distance is None else distance * 10,
            "pointing_px": typed["pointing_px"],
        }


class RemoveMeasurementForm(Form):
    """Which measurement to take back, and why."""

    measurement = forms.ModelChoiceField(
        Measurement.objects.none(), to_field_name="public_id", label=_("Measurement"), empty_label=_("choose")
    )
    reason = forms.CharField(max_length=300, label=_("Why"))

    def __init__(self, measurements: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["measurement"].queryset = measurements  # type: ignore[attr-defined]
