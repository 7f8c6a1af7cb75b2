"""What every form of ours is: one that, where something is wrong, says what would be right."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

REMEDIES: dict[type[forms.Field], dict[str, Any]] = {
    forms.Field: {
        "required": _("This is needed: fill it in or choose one."),
        "max_length": _("Shorten it: %(limit_value)d characters at most, and these are %(show_value)d."),
        "min_value": _("Write %(limit_value)s or more."),
        "max_value": _("Write %(limit_value)s or less."),
    },
    forms.IntegerField: {"invalid": _("Write a whole number, such as 3.")},
    forms.FloatField: {"invalid": _("Write a number, such as 12.5.")},
    forms.DecimalField: {"invalid": _("Write a number, such as 12.5.")},
    forms.DateField: {"invalid": _("Write the day as year, month and day: 2026-03-14.")},
    forms.EmailField: {"invalid": _("Write the whole address, with the @ in it.")},
    forms.ChoiceField: {
        "invalid_choice": _("“%(value)s” cannot be chosen here. Choose one of those offered.")
    },
    forms.MultipleChoiceField: {
        "invalid_choice": _("“%(value)s” cannot be chosen here. Choose of those offered.")
    },
    forms.ModelChoiceField: {
        "invalid_choice": _("That one cannot be chosen here. Choose one of those offered.")
    },
    forms.ModelMultipleChoiceField: {
        "invalid_choice": _("“%(value)s” cannot be chosen here. Choose of those offered.")
    },
    forms.FileField: {"empty": _("The file is empty. Choose another.")},
}


class Form(forms.Form):
    """Its fields name the remedy in place of Django's own sentences; what a field was declared to say, it says."""

    def full_clean(self) -> None:
        for field in self.fields.values():
            tell_remedies(field)
        super().full_clean()


def tell_remedies(field: forms.Field) -> None:
    djangos: dict[str, Any] = {}
    ours: dict[str, Any] = {}
    for kind in reversed(type(field).__mro__):
        djangos |= vars(kind).get("default_error_messages", {})
        ours |= REMEDIES.get(kind, {})
    for code, remedy in ours.items():
        if field.error_messages.get(code) is djangos.get(code):
            field.error_messages[code] = remedy
