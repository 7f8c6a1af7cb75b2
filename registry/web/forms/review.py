"""Votes and disputes: a verdict, what it rests on, and a note."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.models import Basis, Claim, Dispute, Example, State, Verdict

from .base import Form
from .picture import CAMERA, LicenceField

VERDICTS = [
    (Verdict.CONFIRMS, _("Yes, it is so")),
    (Verdict.CONTRADICTS, _("No, it is not so")),
    (Verdict.CANNOT_TELL, _("I cannot tell")),
]
BASES = [
    (Basis.PHOTO, _("on the photographs only")),
    (Basis.OWN_SEALED, _("on my own example, sealed")),
    (Basis.OWN_LOOSE, _("on my own example, loose")),
]
SIDES = [
    ("claim", _("the first: as listed")),
    ("rival", _("the second: as proposed")),
    ("neither", _("neither")),
    ("cannot_tell", _("I cannot tell")),
]


class KeyedRadios(forms.RadioSelect):
    """Each choice names the key that makes it, for pages on which keys work. In the order of the choices."""

    def __init__(self, keys: str) -> None:
        super().__init__()
        self.keys = keys

    def create_option(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option: dict[str, Any] = super().create_option(*args, **kwargs)
        option["attrs"]["data-key"] = self.keys[int(option["index"])]
        return option


class BasisForm(Form):
    """What a verdict rests on."""

    basis = forms.ChoiceField(
        choices=BASES, widget=KeyedRadios("psl"), initial=Basis.PHOTO, label=_("What do you go by?")
    )
    example = forms.ModelChoiceField(
        Example.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("Which example of yours?"),
        empty_label=_("none named"),
        help_text=_("Name one that you have noted here; with its photographs it counts as evidence."),
    )
    note = forms.CharField(
        max_length=300, required=False, label=_("Note"), widget=forms.Textarea(attrs={"rows": 2})
    )
    base_revision = forms.IntegerField(
        required=False, min_value=1, max_value=2_147_483_647, widget=forms.HiddenInput
    )

    def offer_examples(self, examples: Any) -> None:
        self.fields["example"].queryset = examples  # type: ignore[attr-defined]


class VoteForm(BasisForm):
    """One verdict on one detail."""

    verdict = forms.ChoiceField(choices=VERDICTS, widget=KeyedRadios("ync"), label=_("Is it so?"))
    state_seen = forms.ModelChoiceField(
        State.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("If not: what do you see?"),
        empty_label=_("not said"),
    )
    field_order = ["verdict", "state_seen", "basis", "example", "note"]

    def __init__(self, claim: Claim, examples: Any, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("base_revision", claim.variant.revision_number)
        super().__init__(*args, **kwargs)
        self.offer_examples(examples)
        states = State.objects.current().filter(trait=claim.trait.survivor).exclude(pk=claim.state_id)
        self.fields["state_seen"].queryset = states.order_by("is_built_in", "name")  # type: ignore[attr-defined]


class DisputeForm(Form):
    """What is wrong with a detail, and what is seen instead."""

    state = forms.ModelChoiceField(
        State.objects.none(),
        to_field_name="public_id",
        label=_("What do you see instead?"),
        empty_label=_("choose"),
    )
    reason = forms.CharField(
        max_length=500,
        label=_("How can you tell?"),
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("In your own words. A photograph, now or later, makes the objection count."),
    )
    photo = forms.FileField(
        required=False,
        label=_("Photograph"),
        help_text=_("JPEG, PNG or WebP, up to 12 MB. Needed where the same was decided before."),
        widget=forms.ClearableFileInput(attrs=CAMERA),
    )
    licence = LicenceField()
    base_revision = forms.IntegerField(
        required=False, min_value=1, max_value=2_147_483_647, widget=forms.HiddenInput
    )

    def __init__(self, claim: Claim, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("base_revision", claim.variant.revision_number)
        super().__init__(*args, **kwargs)
        states = State.objects.current().filter(trait=claim.trait.survivor).exclude(pk=claim.state_id)
        self.fields["state"].queryset = states.order_by("is_built_in", "name")  # type: ignore[attr-defined]


class SideForm(BasisForm):
    """One verdict on both sides of a dispute."""

    side = forms.ChoiceField(choices=SIDES, widget=forms.RadioSelect, label=_("Which is so?"))
    field_order = ["side", "basis", "example", "note"]

    def __init__(self, dispute: Dispute, examples: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer_examples(examples)
        if dispute.claim and dispute.rival:
            words = {
                "claim": _("%(state)s, as listed") % {"state": dispute.claim.state},
                "rival": _("%(state)s, as proposed") % {"state": dispute.rival.state},
            }
            self.fields["side"].choices = [(key, words.get(key, word)) for key, word in SIDES]  # type: ignore[attr-defined]

    def said(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.field_order}


class ReasonForm(Form):
    """A moderator's step needs its reason."""

    reason = forms.CharField(
        max_length=300, label=_("Reason"), help_text=_("It is shown, and kept in the journal.")
    )


class PhotoForm(Form):
    """One photograph."""

    aliases = {"data": "photo"}
    photo = forms.FileField(
        label=_("Photograph"),
        help_text=_("JPEG, PNG or WebP, up to 12 MB."),
        widget=forms.ClearableFileInput(attrs=CAMERA),
    )
    caption = forms.CharField(max_length=200, required=False, label=_("What it shows"))
    licence = LicenceField()
