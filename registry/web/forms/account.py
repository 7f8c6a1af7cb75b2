"""Tokens and the private cabinet."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings

from registry.models import Condition, Release, Token, Variant


class TokenForm(forms.Form):
    """Lets another program act for me."""

    name = forms.CharField(
        max_length=60, label="What is it for?", help_text="In your words, such as: shelf list."
    )
    scopes = forms.MultipleChoiceField(
        choices=Token.Scope.choices,
        widget=forms.CheckboxSelectMultiple,
        label="What may it do?",
        initial=["read"],
    )
    days = forms.IntegerField(
        min_value=1, max_value=settings.CASTLORE_TOKEN_MAX_DAYS, initial=90, label="Days until it ends"
    )


class ItemForm(forms.Form):
    """What I own of a release."""

    variant = forms.ModelChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        label="Which one is it?",
        empty_label="not checked yet",
    )
    condition = forms.ChoiceField(choices=Condition.choices, label="Condition")
    count = forms.IntegerField(min_value=1, max_value=10_000, initial=1, label="How many")
    to_swap = forms.IntegerField(min_value=0, max_value=10_000, initial=0, label="Of these to swap")
    note = forms.CharField(max_length=300, required=False, label="Private note")

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        variants = Variant.objects.live().filter(release=release)
        self.fields["variant"].queryset = variants.order_by("noticed_on", "id")  # type: ignore[attr-defined]


class ChangeItemForm(ItemForm):
    """The same, for what is in the cabinet already."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
