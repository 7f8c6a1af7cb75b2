"""Statements of order: what came before what, how one knows, and how a line's codes are read."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from registry.models import Basis, CodeDates, CodePattern, Release, SourceKind, StatementKind, Variant
from registry.queries.statements import code_patterns
from registry.web.forms.base import Form
from registry.web.forms.review import VERDICTS

KINDS = [
    (StatementKind.BEFORE, _("was first made before the second")),
    (StatementKind.ALONGSIDE, _("was made alongside the second for some time")),
    (StatementKind.ENDED_BY, _("was replaced for good by the second")),
    (StatementKind.RETURNED, _("came back after the second had begun")),
    (StatementKind.PACKED, _("was in one pack with the second, packed on the date")),
    (StatementKind.NOT_BEFORE, _("was not made before the date")),
    (StatementKind.NOT_AFTER, _("was not made after the date")),
    (StatementKind.CODED, _("carries a production code")),
]
BASES = [
    (Basis.PHOTO, _("on what is said and shown here")),
    (Basis.OWN_SEALED, _("on my own example, sealed")),
    (Basis.OWN_LOOSE, _("on my own example, loose")),
]


class PatternChoiceField(forms.ModelChoiceField):
    def label_from_instance(self, pattern: CodePattern) -> str:
        named = {"name": pattern.name, "template": pattern.template, "dates": pattern.get_dates_display()}
        return gettext("%(name)s, such as %(template)s: %(dates)s") % named


class StatementForm(Form):
    """What is said of one variant, or of two, and where it is known from."""

    variant = forms.ModelChoiceField(
        Variant.objects.none(), to_field_name="public_id", label=_("This variant"), empty_label=_("choose")
    )
    kind = forms.ChoiceField(choices=KINDS, label=_("What do you know of it?"))
    other = forms.ModelChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("The second variant"),
        empty_label=_("none"),
    )
    on = forms.DateField(
        required=False,
        label=_("The date"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("Only for what is about a date."),
    )
    code_pattern = PatternChoiceField(
        CodePattern.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("Which code"),
        empty_label=_("none"),
        help_text=_("Only for a production code. It dates what is said here, and not always the whole item."),
    )
    code = forms.CharField(max_length=40, required=False, label=_("The code, as it stands there"))
    source_kind = forms.ChoiceField(choices=SourceKind.choices, label=_("How is it known?"))
    source = forms.CharField(
        max_length=200,
        label=_("Source, in your words"),
        help_text=_("What you saw or read and when, so that others can judge it. No addresses."),
    )

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: Any = self.fields
        variants = Variant.objects.live().filter(release=release).order_by("noticed_on", "id")
        fields["variant"].queryset = fields["other"].queryset = variants
        fields["code_pattern"].queryset = code_patterns(release.line)


class OrderVoteForm(Form):
    """One verdict on one statement."""

    verdict = forms.ChoiceField(choices=VERDICTS, widget=forms.RadioSelect, label=_("Is it so?"))
    basis = forms.ChoiceField(
        choices=BASES, widget=forms.RadioSelect, initial=Basis.PHOTO, label=_("What do you go by?")
    )
    note = forms.CharField(
        max_length=300, required=False, label=_("Note"), widget=forms.Textarea(attrs={"rows": 2})
    )


class ObjectionForm(Form):
    """Why a statement cannot be right."""

    reason = forms.CharField(
        max_length=500,
        label=_("Why can it not be so?"),
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("A photograph, added next, makes the objection count; so does a second reviewer's vote."),
    )


class CodePatternForm(Form):
    """For moderators: how one kind of code is read."""

    name = forms.CharField(
        max_length=80, label=_("Where it stands"), help_text=_("Such as: lower flap of the card.")
    )
    template = forms.CharField(max_length=40, label=_("How it is built"), help_text=_("Such as {Y}{ww}."))
    dates = forms.ChoiceField(choices=CodeDates.choices, label=_("What it dates"))
    first_year = forms.IntegerField(
        min_value=1900, max_value=2200, label=_("The first year that it can mean")
    )
    margin_days = forms.IntegerField(
        min_value=0, max_value=366, initial=0, label=_("Days by which the truth may lie outside")
    )
    source = forms.CharField(max_length=200, label=_("How this is known"))
