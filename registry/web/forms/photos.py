"""What is said of a photograph once it is here: which items, which sides, which details."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from registry.models import Claim, Example, Mark, View

from .base import Form
from .region import RegionForm
from .report import ExampleForm
from .review import ReasonForm

CHOOSE = ("", _("choose"))


def offer(
    field: Any, rows: Iterable[Any], *first: tuple[str, Any], named: Callable[[Any], str] = str
) -> None:
    """Let a typed choice be one of these rows, which were read before: the form asks the database nothing."""
    by_id = {row.public_id: row for row in rows}
    field.choices = [*first, *((public_id, named(row)) for public_id, row in by_id.items())]
    field.coerce = by_id.__getitem__


class NewExampleForm(ExampleForm):
    """One more physical item."""

    revision = None  # type: ignore[assignment]  # there is no draft to keep in step with


class DescribeForm(Form):
    """For the owner: which items the photograph shows, and what can be inspected on it."""

    examples = forms.TypedMultipleChoiceField(
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("Which items does it show?"),
    )
    views = forms.MultipleChoiceField(
        choices=View.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("What can be inspected on it?"),
    )
    caption = forms.CharField(max_length=200, required=False, label=_("What it shows"))
    is_edited = forms.BooleanField(
        required=False, label=_("It was edited: more was changed than size, frame and overall light")
    )

    def __init__(self, examples: Iterable[Example], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self.fields["examples"], examples)


class ClaimChoiceField(forms.ModelChoiceField):
    def label_from_instance(self, claim: Claim) -> str:
        words = f"{claim.variant}: {claim.trait} {claim.state}"
        return gettext("%(claim)s, as proposed") % {"claim": words} if claim.is_rival else words


class MarkForm(RegionForm):
    """A region that shows one detail on one item."""

    claim = ClaimChoiceField(
        Claim.objects.none(),
        to_field_name="public_id",
        label=_("Which detail does it show?"),
        empty_label=_("choose"),
    )
    example = forms.TypedChoiceField(label=_("On which item?"))

    def __init__(self, claims: Any, examples: Iterable[Example], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["claim"].queryset = claims  # type: ignore[attr-defined]
        offer(self.fields["example"], examples, CHOOSE)


class CodeForm(Form):
    """What a reviewer reads on the paper in the picture."""

    code = forms.CharField(max_length=20, label=_("Code on the paper in the picture"))


class RemoveMarkForm(Form):
    """Which mark to take back, and why."""

    mark = forms.TypedChoiceField(label=_("Mark"))
    reason = forms.CharField(max_length=300, label=_("Why"))

    def __init__(self, marks: Iterable[Mark], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        marks = list(marks)
        offer(self.fields["mark"], marks, CHOOSE)
        self.can_take_back = bool(marks)


class TakeDownForm(ReasonForm):
    """Why a photograph goes."""

    legal = forms.BooleanField(
        required=False,
        label=_("On a legal demand"),
        help_text=_("Then every photograph with the same picture goes, and nobody may send it again."),
    )


class RestoreForm(ReasonForm):
    """Why a photograph is shown again, and its file."""

    aliases = {"data": "file"}
    file = forms.FileField(
        required=False,
        label=_("The file that was first sent"),
        help_text=_("No copy was kept. Ask its owner for the file; another one is refused."),
    )
