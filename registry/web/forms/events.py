"""What moderators decide of a whole variant: merge, split, strike, restore, a better title."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.actions import Part
from registry.models import Example, State, StrikeReason, Variant

from .base import Form


class WhyForm(Form):
    """Each of these steps is kept for ever, with its reason."""

    reason = forms.CharField(
        max_length=300, label=_("Reason"), help_text=_("It is shown, and kept in the journal.")
    )


class MergeVariantForm(WhyForm):
    into = forms.CharField(max_length=120, label=_("Which one stays"), help_text=_("Its id, or its title."))
    field_order = ["into", "reason"]


class StrikeVariantForm(WhyForm):
    reason_code = forms.ChoiceField(choices=StrikeReason.choices, label=_("What it is"))
    field_order = ["reason_code", "reason"]


class RetitleVariantForm(WhyForm):
    title = forms.CharField(max_length=120, label=_("Title"))
    nicknames = forms.CharField(
        max_length=720, required=False, label=_("Nicknames"), help_text=_("With commas between them.")
    )
    field_order = ["title", "nicknames", "reason"]

    def said(self) -> dict[str, Any]:
        names = self.cleaned_data["nicknames"].split(",")
        return {**self.cleaned_data, "nicknames": [name for name in map(str.strip, names) if name]}


class StateChoice(forms.ModelMultipleChoiceField):
    def label_from_instance(self, state: Any) -> str:
        return state.of_its_trait


PARTS = {
    "first": (
        _("First part: title"),
        _("First part: what tells it apart"),
        _("First part: examples of its kind"),
    ),
    "second": (
        _("Second part: title"),
        _("Second part: what tells it apart"),
        _("Second part: examples of its kind"),
    ),
}


class SplitVariantForm(WhyForm):
    """Two parts at most: what is left can be split again."""

    aliases = {"parts": "first_title", "title": "first_title", "states": "first_states"}
    keeps = forms.BooleanField(
        required=False,
        initial=True,
        label=_("The variant goes on as the main part"),
        help_text=_("Otherwise it ends, and at least two parts take its place."),
    )

    def __init__(self, variant: Variant, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        states = State.objects.current().filter(trait__adoptions__release=variant.release)
        states = states.select_related("trait").order_by("trait__name", "is_built_in", "name")
        examples = Example.objects.filter(release=variant.release).select_related("owner").order_by("pk")
        for name, labels in PARTS.items():
            is_first = name == "first"
            self.fields[f"{name}_title"] = forms.CharField(max_length=120, required=is_first, label=labels[0])
            self.fields[f"{name}_states"] = StateChoice(
                states,
                to_field_name="public_id",
                required=is_first,
                label=labels[1],
            )
            self.fields[f"{name}_examples"] = forms.ModelMultipleChoiceField(
                examples,
                to_field_name="public_id",
                required=False,
                label=labels[2],
            )
        for kind in ("states", "examples"):  # both parts choose among the same, read once
            choices = list(iter(self.fields[f"first_{kind}"].choices))  # type: ignore[attr-defined]
            for name in ("first", "second"):
                self.fields[f"{name}_{kind}"].widget.choices = choices
        self.order_fields([name for name in self.fields if name not in ("keeps", "reason")])

    def parts(self) -> list[Part]:
        said = self.cleaned_data
        return [
            Part(said[f"{name}_title"], list(said[f"{name}_states"]), list(said[f"{name}_examples"]))
            for name in ("first", "second")
            if said[f"{name}_title"] or said[f"{name}_states"]
        ]
