"""What a slip on a form is told: what would be right, in place of Django's own sentences, on every form."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

ON_EVERY_FIELD = {
    "required": _("This is needed: fill it in or choose one."),
    "max_length": _("Shorten it: %(limit_value)d characters at most, and these are %(show_value)d."),
    "min_value": _("Write %(limit_value)s or more."),
    "max_value": _("Write %(limit_value)s or less."),
}
BY_FIELD: dict[type[forms.Field], dict[str, Any]] = {
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
    forms.FileField: {"empty": _("The file is empty. Choose another.")},
}


def tell_slips() -> None:
    """Called once, before any form is made: a field takes its sentences along when it is declared."""
    forms.Field.default_error_messages = {**forms.Field.default_error_messages, **ON_EVERY_FIELD}
    for field, told in BY_FIELD.items():
        field.default_error_messages = {**field.__dict__.get("default_error_messages", {}), **told}
