"""What every form that takes a photograph asks: the file, and what others may do with it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.models import Licence

CAMERA = {"accept": "image/jpeg,image/png,image/webp"}


class LicenceField(forms.ChoiceField):
    """CC BY 4.0 unless its owner chooses otherwise."""

    def __init__(self) -> None:
        super().__init__(
            choices=Licence.choices,
            required=False,
            initial=Licence.CC_BY_4,
            label=_("Licence"),
            help_text=_("You stay the owner. CC BY: others name you beside it. CC0: they need not."),
        )

    def clean(self, value: Any) -> str:
        return super().clean(value) or Licence.CC_BY_4
