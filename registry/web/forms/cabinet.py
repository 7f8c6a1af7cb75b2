"""What I own: one entry of the cabinet, or a whole file of them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.models import Condition, PackVersion, Release, Variant
from registry.web.forms.base import Form
from registry.web.forms.sighting import SheetForm


class ItemForm(Form):
    """What I own of a release."""

    variant = forms.ModelChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("Which one is it?"),
        empty_label=_("not checked yet"),
    )
    condition = forms.ChoiceField(choices=Condition.choices, label=_("Sealed, boxed or loose"))
    count = forms.IntegerField(min_value=1, max_value=10_000, initial=1, label=_("How many"))
    to_swap = forms.IntegerField(min_value=0, max_value=10_000, initial=0, label=_("Of these to swap"))
    pack_version = forms.ModelChoiceField(
        PackVersion.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("In which version of the pack"),
        empty_label=_("not noted"),
    )
    wear = forms.CharField(
        max_length=120,
        required=False,
        label=_("Its condition, in your words"),
        help_text=_("Such as: card bent at one corner."),
    )
    note = forms.CharField(max_length=300, required=False, label=_("Private note"))

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        variants = Variant.objects.live().filter(release=release)
        self.fields["variant"].queryset = variants.order_by("noticed_on", "id")  # type: ignore[attr-defined]
        versions = PackVersion.objects.filter(pack__contents__release=release).select_related("pack")
        self.fields["pack_version"].queryset = versions.order_by("pack__name", "id")  # type: ignore[attr-defined]


class ChangeItemForm(ItemForm):
    """The same, for what is in the cabinet already."""

    revision = forms.IntegerField(widget=forms.HiddenInput)


class CabinetSheetForm(SheetForm):
    """A file of what I own, tried before it is kept."""

    file = forms.FileField(
        label=_("The file"),
        error_messages={"required": _("Choose a file.")},
        help_text=_("CSV as UTF-8, up to 5,000 rows and 900 kB."),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv"}),
    )
