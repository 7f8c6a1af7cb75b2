"""Statements of order: what came before what, how one knows, and how a line's codes are read."""

from __future__ import annotations

from typing import Any

from django import forms

from registry.models import Basis, CodeDates, CodePattern, Release, SourceKind, StatementKind, Variant
from registry.queries.statements import code_patterns
from registry.web.forms.review import VERDICTS

KINDS = [
    (StatementKind.BEFORE, "was first made before the second"),
    (StatementKind.ALONGSIDE, "was made alongside the second for some time"),
    (StatementKind.ENDED_BY, "was replaced for good by the second"),
    (StatementKind.RETURNED, "came back after the second had begun"),
    (StatementKind.PACKED, "was in one pack with the second, packed on the date"),
    (StatementKind.NOT_BEFORE, "was not made before the date"),
    (StatementKind.NOT_AFTER, "was not made after the date"),
    (StatementKind.CODED, "carries a production code"),
]
BASES = [
    (Basis.PHOTO, "on what is said and shown here"),
    (Basis.OWN_SEALED, "on my own example, sealed"),
    (Basis.OWN_LOOSE, "on my own example, loose"),
]


class PatternChoiceField(forms.ModelChoiceField):
    def label_from_instance(self, pattern: CodePattern) -> str:
        return f"{pattern.name}, such as {pattern.template}: {pattern.get_dates_display()}"


class StatementForm(forms.Form):
    """What is said of one variant, or of two, and where it is known from."""

    variant = forms.ModelChoiceField(
        Variant.objects.none(), to_field_name="public_id", label="This variant", empty_label="choose"
    )
    kind = forms.ChoiceField(choices=KINDS, label="What do you know of it?")
    other = forms.ModelChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        label="The second variant",
        empty_label="none",
    )
    on = forms.DateField(
        required=False,
        label="The date",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Only for what is about a date. As 2026-03-14.",
    )
    code_pattern = PatternChoiceField(
        CodePattern.objects.none(),
        required=False,
        to_field_name="public_id",
        label="Which code",
        empty_label="none",
        help_text="Only for a production code. It dates what is said here, and not always the whole item.",
    )
    code = forms.CharField(max_length=40, required=False, label="The code, as it stands there")
    source_kind = forms.ChoiceField(choices=SourceKind.choices, label="How is it known?")
    source = forms.CharField(
        max_length=200,
        label="Source, in your words",
        help_text="What you saw or read and when, so that others can judge it. No addresses.",
    )

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: Any = self.fields
        variants = Variant.objects.live().filter(release=release).order_by("noticed_on", "id")
        fields["variant"].queryset = fields["other"].queryset = variants
        fields["code_pattern"].queryset = code_patterns(release.line)


class OrderVoteForm(forms.Form):
    """One verdict on one statement."""

    verdict = forms.ChoiceField(choices=VERDICTS, widget=forms.RadioSelect, label="Is it so?")
    basis = forms.ChoiceField(
        choices=BASES, widget=forms.RadioSelect, initial=Basis.PHOTO, label="What do you go by?"
    )
    note = forms.CharField(
        max_length=300, required=False, label="Note", widget=forms.Textarea(attrs={"rows": 2})
    )


class ObjectionForm(forms.Form):
    """Why a statement cannot be right."""

    reason = forms.CharField(
        max_length=500,
        label="Why can it not be so?",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="A photograph, added next, makes the objection count; so does a second reviewer's vote.",
    )


class CodePatternForm(forms.Form):
    """For moderators: how one kind of code is read."""

    name = forms.CharField(
        max_length=80, label="Where it stands", help_text="Such as: lower flap of the card."
    )
    template = forms.CharField(max_length=40, label="How it is built", help_text="Such as {Y}{ww}.")
    dates = forms.ChoiceField(choices=CodeDates.choices, label="What it dates")
    first_year = forms.IntegerField(min_value=1900, max_value=2200, label="The first year that it can mean")
    margin_days = forms.IntegerField(
        min_value=0, max_value=366, initial=0, label="Days by which the truth may lie outside"
    )
    source = forms.CharField(max_length=200, label="How this is known")
