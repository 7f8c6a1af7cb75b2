"""A quick note, and what others answer to it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from registry.models import State

from .base import Form
from .photos import offer
from .picture import CAMERA, LicenceField
from .region import RegionForm
from .report import ExampleForm


class QuickForm(Form):
    """One picture and one sentence."""

    aliases = {"data": "picture"}
    picture = forms.FileField(
        label=_("Picture"),
        help_text=_("JPEG, PNG or WebP, up to 12 MB. No people, no addresses."),
        widget=forms.FileInput(attrs=CAMERA),
    )
    note = forms.CharField(
        max_length=200,
        label=_("What strikes you, in one sentence"),
        help_text=_("Such as: the crest looks wider."),
    )
    licence = LicenceField()


class RemarkForm(RegionForm):
    """What a member sees in a region of the picture."""

    photo = forms.CharField(widget=forms.HiddenInput)
    state = forms.TypedChoiceField(required=False, empty_value=None, label=_("What do you see there?"))
    sentence = forms.CharField(max_length=200, required=False, label=_("Or in your own words"))

    def __init__(self, states: Iterable[State], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        states = list(states)
        words = ("", gettext("say it in words"))
        offer(self.fields["state"], states, words, named=lambda state: state.of_its_trait)
        if not states:
            del self.fields["state"]
            self.fields["sentence"].label = _("What do you see there?")


class ItemForm(Form):
    """The one thing that a report needs and nobody else can say: which item it is."""

    condition = ExampleForm.base_fields["condition"]
    mine = ExampleForm.base_fields["mine"]


class CloseForm(Form):
    """A moderator says why."""

    reason = forms.CharField(max_length=300, label=_("Why"), help_text=_("Its author reads this."))
