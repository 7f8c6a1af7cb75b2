"""How deep I collect, and a bar code to look up."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.methods.identifiers import parse_gtin
from registry.models import Depth, Hunt, Line, Trait
from registry.queries.hunt import chosen, countable, huntable_lines
from registry.sentences import said

from .base import Form


class HuntForm(Form):
    """What counts as missing."""

    depth = forms.ChoiceField(choices=Depth.choices, widget=forms.RadioSelect, label=_("I look for"))
    with_errors = forms.BooleanField(required=False, label=_("Factory errors too"))
    with_samples = forms.BooleanField(required=False, label=_("Pre-production samples too"))
    lines = forms.ModelMultipleChoiceField(
        Line.objects.none(),
        required=False,
        to_field_name="public_id",
        widget=forms.CheckboxSelectMultiple,
        label=_("Only in these lines"),
        help_text=_("None ticked: in every line."),
    )
    traits = forms.ModelMultipleChoiceField(
        Trait.objects.none(),
        required=False,
        to_field_name="public_id",
        widget=forms.CheckboxSelectMultiple,
        label=_("The details that count"),
        help_text=_(
            "Only for the last choice above. Choose lines and keep, to be offered details of their castings."
        ),
    )
    revision = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, hunt: Hunt, data: Any = None) -> None:
        kept = {name: getattr(hunt, name) for name in ("depth", "with_errors", "with_samples", "revision")}
        for name in ("lines", "traits"):
            kept[name] = [getattr(row, "survivor", row).public_id for row in chosen(hunt, name)]
        super().__init__(data, initial=kept)
        self.offer(
            "lines", Line.objects.all(), [(each, f"{each}, {each.maker}") for each in huntable_lines()]
        )
        traits = [(each, f"{each} ({each.line or each.casting})") for each in countable(hunt)]
        self.offer("traits", Trait.objects.current(), traits)

    def offer(self, name: str, rows: Any, offered: list[tuple[Any, str]]) -> None:
        """What may be ticked, with its words; any row of the kind may be sent."""
        field: Any = self.fields[name]
        field.queryset = rows
        field.choices = [(row.public_id, words) for row, words in offered]


class CodeForm(Form):
    """The bar code on a pack."""

    code = forms.CharField(
        max_length=20,
        label=_("Bar code"),
        help_text=_("8, 12, 13 or 14 digits."),
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "data-scan": "yes"}),
    )

    def clean_code(self) -> str:
        """Errors: ValidationError that says what the digits should be."""
        typed = self.cleaned_data["code"]
        try:
            return parse_gtin(typed)
        except ValueError as fault:
            raise forms.ValidationError(said(fault)) from None
