"""The report, step by step: which one, what differs, photographs, marks, check and send."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from registry.models import Condition, Line, Maker, PackKind, Scope, Submission, Variant, View

from .base import Form
from .picture import CAMERA, LicenceField
from .place import CountryField, RegionField
from .region import RegionForm


class StepForm(Form):
    """Carries the number of the draft's edit, so that two open windows cannot overwrite each other."""

    revision = forms.IntegerField(widget=forms.HiddenInput)


class ChosenForm(StepForm):
    """The casting or release reported on, chosen from a list or from what a search found."""

    kind = forms.ChoiceField(
        choices=[("casting", "casting"), ("release", "release")], widget=forms.HiddenInput
    )
    chosen = forms.CharField(max_length=40, widget=forms.HiddenInput)


class DropForm(StepForm):
    """Take one thing back out of the draft."""

    ref = forms.CharField(max_length=40, widget=forms.HiddenInput)


class WhichForm(StepForm):
    """Name the variant that mine differs from, among those the release is known in."""

    differs_from = forms.ModelChoiceField(
        Variant.objects.none(),
        required=False,
        label=_("Which known variant does yours differ from?"),
        empty_label=_("Not said yet"),
        help_text=_("Choose the closest one. You say what differs in the next step."),
    )

    def __init__(self, draft: Submission, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).update(revision=draft.revision, differs_from=draft.differs_from_id)
        super().__init__(*args, **kwargs)
        field = self.fields["differs_from"]
        field.queryset = Variant.objects.live().filter(release=draft.release_id).order_by("noticed_on", "id")  # type: ignore[attr-defined]


class CastingForm(StepForm):
    """Propose a casting that is not listed."""

    maker = forms.ModelChoiceField(
        Maker.objects.order_by("name"), label=_("Maker"), to_field_name="public_id"
    )
    name = forms.CharField(max_length=80, label=_("Name of the casting"))
    what = forms.CharField(
        max_length=80, required=False, label=_("What it is"), help_text=_("In a word or two: salt lorry.")
    )


class ReleaseForm(StepForm):
    """Propose a release that is not listed."""

    line = forms.ModelChoiceField(
        Line.objects.order_by("name"), label=pgettext_lazy("of products", "Line"), to_field_name="public_id"
    )
    name = forms.CharField(max_length=120, label=_("Name on the pack"))
    year = forms.IntegerField(min_value=1900, max_value=2200, label=_("Year"))
    number = forms.CharField(max_length=40, required=False, label=_("Number on the pack"))
    livery = forms.CharField(
        max_length=120, required=False, label=_("Main livery"), help_text=_("Such as: harbour red.")
    )


class PackForm(StepForm):
    """Propose the pack it came in, where that is not listed."""

    name = forms.CharField(max_length=120, label=_("Name of the pack"))
    kind = forms.ChoiceField(choices=PackKind.choices, label=_("Kind of pack"))
    gtin = forms.CharField(
        max_length=20, required=False, label=_("Bar code number"), help_text=_("Every digit under the bars.")
    )


class ExampleForm(StepForm):
    """One physical item that the photographs show. Finding places are coarse on purpose."""

    condition = forms.ChoiceField(choices=Condition.choices, label=_("Condition"))
    mine = forms.TypedChoiceField(
        choices=[("yes", _("It is mine")), ("no", _("I do not know whose it is"))],
        coerce=lambda said: said == "yes",
        widget=forms.RadioSelect,
        initial="yes",
        label=_("Whose is it?"),
    )
    found_month = forms.RegexField(
        r"^\d{4}-(0[1-9]|1[0-2])$",
        required=False,
        label=_("Month found"),
        help_text=_("As year and month: 2026-03."),
        widget=forms.TextInput(attrs={"type": "month", "placeholder": "2026-03"}),
        error_messages={"invalid": _("Write year and month, such as 2026-03.")},
    )
    found_shop = forms.CharField(
        max_length=60, required=False, label=_("Kind of shop"), help_text=_("Toy shop, fair … no address.")
    )
    found_case = forms.CharField(
        max_length=40, required=False, label=_("Shipping case"), help_text=_("Its code, if you saw the case.")
    )
    country = CountryField()
    region = RegionField()

    def month(self) -> date | None:
        """The first day of the month found."""
        said = self.cleaned_data["found_month"]
        return date.fromisoformat(f"{said}-01") if said else None


class SeveralFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class SeveralFilesField(forms.FileField):
    """One or more files from one input."""

    widget = SeveralFiles(attrs={"multiple": True, **CAMERA})

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        files = data if isinstance(data, (list, tuple)) and data else [data or None]
        return [super(SeveralFilesField, self).clean(file, initial) for file in files]


class PhotosForm(StepForm):
    """Photographs to add. JPEG, PNG or WebP; all metadata is dropped."""

    use_required_attribute = False  # one of two inputs is enough: chosen files, or a picture just taken
    photos = SeveralFilesField(
        label=_("Photographs"), help_text=_("JPEG, PNG or WebP, up to 12 MB each; several at once.")
    )
    licence = LicenceField()
    is_edited = forms.BooleanField(
        required=False, label=_("They were edited: more was changed than size, frame and overall light")
    )


class DescribeForm(StepForm):
    """What one photograph shows."""

    photo = forms.CharField(widget=forms.HiddenInput)
    examples = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label=_("Which items does it show?")
    )
    views = forms.MultipleChoiceField(
        choices=View.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("What can be inspected on it?"),
    )

    def __init__(self, examples: list[tuple[str, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["examples"].choices = examples  # type: ignore[attr-defined]


class MarkForm(StepForm, RegionForm):
    """A region of a photograph that shows one detail on one item."""

    photo = forms.CharField(widget=forms.HiddenInput)
    what = forms.ChoiceField(label=_("Which detail does it show?"))
    example = forms.ChoiceField(label=_("On which item?"))

    def __init__(
        self, details: list[tuple[str, str]], examples: list[tuple[str, str]], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["what"].choices = details  # type: ignore[attr-defined]
        self.fields["example"].choices = examples  # type: ignore[attr-defined]


class SeenForm(StepForm):
    """Where else one like it was seen, and how many: a find that is kept when the report is sent."""

    n = forms.IntegerField(
        min_value=1,
        max_value=100_000,
        initial=1,
        label=_("How many like it you saw"),
        widget=forms.NumberInput(attrs={"class": "small", "inputmode": "numeric"}),
    )
    scope = forms.ChoiceField(choices=Scope.choices, initial=Scope.PEG, label=_("What did you look at?"))
    seen_on = forms.DateField(
        label=_("Day"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    country = CountryField()
    region = RegionField()
    condition = forms.ChoiceField(
        choices=[("", _("not noted")), *Condition.choices], required=False, label=_("Condition")
    )

    def find(self) -> dict[str, Any]:
        """As a draft keeps it."""
        said = {
            name: value for name, value in self.cleaned_data.items() if name != "revision" and value != ""
        }
        return said | {"seen_on": self.cleaned_data["seen_on"].isoformat()}
