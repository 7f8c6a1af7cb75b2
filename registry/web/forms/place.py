"""Where something was found or seen, told no finer than a province."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class CountryField(forms.CharField):
    """By two letters, as ISO 3166-1 has them."""

    def __init__(self) -> None:
        super().__init__(
            max_length=2, required=False, label=_("Country"), help_text=_("Two letters, such as NL.")
        )


class RegionField(forms.CharField):
    def __init__(self) -> None:
        super().__init__(
            max_length=60, required=False, label=_("Wide region"), help_text=_("No finer than a province.")
        )
