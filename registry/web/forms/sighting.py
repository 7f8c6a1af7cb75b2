"""What was seen, where and how many: a find, a full count, or a comparison in which nothing differed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from registry.models import Condition, CountKind, Example, Pack, PickedOver, Release, Scope, Trait, Variant
from registry.sentences import in_thousands
from registry.sentences import said as in_words
from registry.web.forms.base import Form
from registry.web.forms.picture import CAMERA, LicenceField
from registry.web.forms.place import CountryField, RegionField

MOST = 100_000
MOST_SENT = 900_000  # bytes of a file: its text comes back with the second step, in a form of 1 MB
NONE_KNOWN, COULD_NOT_TELL = CountKind.NONE_KNOWN.value, CountKind.COULD_NOT_TELL.value


def number(label: Any, **more: Any) -> forms.IntegerField:
    """A number to type; the script of the page puts taps for one less and one more beside it."""
    widget = forms.NumberInput(attrs={"class": "small", "inputmode": "numeric", "data-steps": label})
    return forms.IntegerField(required=False, min_value=1, max_value=MOST, label=label, widget=widget, **more)


class SightingForm(Form):
    """What every sighting says: when, roughly where, of what condition, in which pack; a photograph if there is one."""

    title: Any = ""
    lead: Any = ""
    seen_on = forms.DateField(
        label=_("Day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    country = CountryField()
    region = RegionField()
    condition = forms.ChoiceField(
        choices=[("", _("not noted")), *Condition.choices], required=False, label=_("Condition")
    )
    is_offer = forms.BooleanField(required=False, label=_("A seller offered it to me"))
    pack = forms.ModelChoiceField(
        Pack.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("In which pack"),
        empty_label=_("not noted"),
    )
    source = forms.CharField(
        max_length=200,
        required=False,
        label=_("Where it was published"),
        help_text=_("Only if you did not see it yourself."),
    )
    note = forms.CharField(max_length=300, required=False, label=_("Note"))
    photo = forms.FileField(
        required=False,
        label=_("A photograph"),
        help_text=_("JPEG, PNG or WebP, up to 12 MB. No people, no homes."),
        widget=forms.ClearableFileInput(attrs=CAMERA),
    )
    licence = LicenceField()
    first: tuple[str, ...] = ()
    """What is asked at once, below the numbers; the rest is asked for on request."""
    fixed: dict[str, Any] = {}

    def __init__(
        self, release: Release, *args: Any, place: tuple[str, str] = ("", ""), **kwargs: Any
    ) -> None:
        initial = {"seen_on": timezone.localdate(), "country": place[0], "region": place[1]}
        kwargs["initial"] = initial | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.fields["pack"].queryset = release.packs.current().order_by("name")  # type: ignore[attr-defined]
        self.variants = list(Variant.objects.live().filter(release=release).order_by("noticed_on", "id"))

    def asked_first(self) -> list[forms.BoundField]:
        return [self[name] for name in self.first if name in self.fields]

    def asked_later(self) -> list[forms.BoundField]:
        return [
            self[name] for name in ("condition", "is_offer", "pack", "photo", "licence", "source", "note")
        ]

    @property
    def is_open(self) -> bool:
        """Something asked for on request is wrong, so it must be seen."""
        return any(field.errors for field in self.asked_later())

    def count_lines(self) -> list[dict[str, Any]]:
        raise NotImplementedError

    def sighting(self) -> dict[str, Any]:
        """What was said, as the action takes it."""
        said = {name: value for name, value in self.cleaned_data.items() if name in SAID}
        lines = [{**line, "condition": self.cleaned_data["condition"]} for line in self.count_lines()]
        return {**said, **self.fixed, "count_lines": lines}


SAID = (
    "scope", "seen_on", "country", "region", "is_offer", "pack", "source", "note", "example", "picked_over",
    "cases_compared", "total", "no_difference", "traits_seen",
)  # fmt: skip
"""Fields that mean the same to the action."""


class NumbersForm(SightingForm):
    """One number for each known variant, one for those of which one cannot tell which, one for none of the known."""

    none_known = number(_("None of the known ones"))
    could_not_tell = number(_("Could not tell"))
    unsure = forms.ModelMultipleChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        widget=forms.CheckboxSelectMultiple,
        label=_("One of these, I cannot tell which"),
    )
    unsure_n = number(_("How many of those"))

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(release, *args, **kwargs)
        for variant in self.variants:
            self.fields[f"n_{variant.public_id}"] = number(variant.title)
        if len(self.variants) < 2:  # one cannot be unsure which one of one
            del self.fields["unsure"], self.fields["unsure_n"]
        else:
            self.fields["unsure"].queryset = Variant.objects.filter(  # type: ignore[attr-defined]
                pk__in=[variant.pk for variant in self.variants]
            ).order_by("noticed_on", "id")

    def counts(self) -> Iterator[tuple[Variant, forms.BoundField]]:
        """The boxes to count in, one for each known variant."""
        for variant in self.variants:
            yield variant, self[f"n_{variant.public_id}"]

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or self.cleaned_data
        if bool(said.get("unsure")) != bool(said.get("unsure_n")) and not self.errors:
            self.add_error("unsure_n", _("Tick which ones it may be, and say how many you saw."))
        if not self.errors and not self.count_lines():
            self.add_error(None, _("Say how many you saw, in at least one of the boxes."))
        return said

    def count_lines(self) -> list[dict[str, Any]]:
        """What was counted, as the action takes it."""
        said = self.cleaned_data
        lines = [
            {"kind": CountKind.VARIANT, "variants": [variant], "n": n}
            for variant in self.variants
            if (n := said.get(f"n_{variant.public_id}"))
        ]
        if said.get("unsure"):
            lines.append(
                {"kind": CountKind.ONE_OF_THESE, "variants": list(said["unsure"]), "n": said["unsure_n"]}
            )
        return lines + [
            {"kind": kind, "variants": [], "n": said[kind]}
            for kind in (NONE_KNOWN, COULD_NOT_TELL)
            if said.get(kind)
        ]


class FindForm(NumbersForm):
    """Something that was looked for, or stumbled on."""

    title = _("I found one")
    lead = _("A find says that it is about, and where. How common it is, only full counts say.")
    first = ("scope", "example", "seen_on", "country", "region")
    scope = forms.ChoiceField(choices=Scope.choices, initial=Scope.ITEM, label=_("What did you look at?"))
    example = forms.ModelChoiceField(
        Example.objects.none(),
        required=False,
        to_field_name="public_id",
        label=_("Is it one that you own?"),
        empty_label=_("no, or not noted here"),
        help_text=_("Then it counts once, however often it is told of."),
    )

    def __init__(self, release: Release, *args: Any, examples: Any = None, **kwargs: Any) -> None:
        super().__init__(release, *args, **kwargs)
        if not examples:
            del self.fields["example"]
        else:
            self.fields["example"].queryset = examples  # type: ignore[attr-defined]


class ComparingForm(SightingForm):
    """What full counts and comparisons share: from how many cases, and which details could be seen."""

    cases_compared = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=10_000,
        label=_("From how many shipping cases"),
        widget=forms.NumberInput(attrs={"class": "small", "inputmode": "numeric"}),
    )
    traits_seen = forms.ModelMultipleChoiceField(
        Trait.objects.none(),
        required=False,
        to_field_name="public_id",
        widget=forms.CheckboxSelectMultiple,
        label=_("Which details could you see?"),
        help_text=_(
            "Ticked: those that show in a sealed pack. A difference elsewhere would have stayed hidden."
        ),
    )

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        adopted = list(release.adoptions.select_related("trait"))
        in_pack = [adoption.trait.public_id for adoption in adopted if adoption.is_seen_in_pack]
        kwargs["initial"] = {"traits_seen": in_pack} | kwargs.get("initial", {})
        super().__init__(release, *args, **kwargs)
        traits = Trait.objects.current().filter(adoptions__release=release)
        self.fields["traits_seen"].queryset = traits.order_by("place", "id")  # type: ignore[attr-defined]

    def sighting(self) -> dict[str, Any]:
        said = super().sighting() | {"is_full_count": True}
        return said | {"traits_seen": list(said["traits_seen"])}


class CountForm(ComparingForm, NumbersForm):
    """Everything of a release that was there."""

    title = _("I counted everything there")
    lead = _("Count every one of this release that was there, also those you could not tell apart.")
    first = (
        "scope", "picked_over", "total", "cases_compared", "no_difference", "seen_on", "country", "region",
        "traits_seen",
    )  # fmt: skip
    scope = forms.ChoiceField(
        choices=[choice for choice in Scope.choices if choice[0] != Scope.ITEM],
        initial=Scope.PEG,
        label=_("What did you count?"),
    )
    picked_over = forms.ChoiceField(
        choices=[
            (PickedOver.UNKNOWN, _("I don’t know")),
            (PickedOver.NO, _("no")),
            (PickedOver.YES, _("yes")),
        ],
        initial=PickedOver.UNKNOWN,
        label=_("Had others picked through it before?"),
        help_text=_("Only of a peg or shelf."),
    )
    total = number(
        _("How many there were in all"), help_text=_("If you know: the numbers above must add up to it.")
    )
    no_difference = forms.BooleanField(required=False, label=_("I compared them all and saw no difference"))

    def sighting(self) -> dict[str, Any]:
        said = super().sighting()
        return said if said["scope"] == Scope.PEG else said | {"picked_over": PickedOver.UNKNOWN}


class ComparedForm(ComparingForm):
    """n examples from m cases, all alike."""

    title = _("I compared them: no difference")
    lead = _("That nothing was found is a finding too: it says how common an unknown variant can be at most.")
    first = ("n", "cases_compared", "all_were", "scope", "seen_on", "country", "region", "traits_seen")
    fixed = {"no_difference": True}
    n = number(_("How many you compared"))
    all_were = forms.ChoiceField(label=_("Which were they all?"))
    scope = forms.ChoiceField(
        choices=[choice for choice in Scope.choices if choice[0] not in (Scope.ITEM, Scope.SEALED_PACK)],
        initial=Scope.COLLECTION,
        label=_("Where from?"),
    )

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(release, *args, **kwargs)
        self.fields["n"].required = True
        known = [(variant.public_id, variant.title) for variant in self.variants]
        self.fields["all_were"].choices = [*known, (NONE_KNOWN, _("none of the known ones"))]  # type: ignore[attr-defined]

    def count_lines(self) -> list[dict[str, Any]]:
        n, which = self.cleaned_data["n"], self.cleaned_data["all_were"]
        if which == NONE_KNOWN:
            return [{"kind": NONE_KNOWN, "variants": [], "n": n}]
        named = [variant for variant in self.variants if variant.public_id == which]
        return [{"kind": CountKind.VARIANT, "variants": named, "n": n}]


WAYS: dict[str, type[SightingForm]] = {"find": FindForm, "count": CountForm, "compared": ComparedForm}
"""The forms by the word in the page's address."""


class SheetForm(Form):
    """A file of sightings; once tried, its text, so that what is kept is what was tried."""

    file = forms.FileField(
        label=_("The file"),
        error_messages={"required": _("Choose a file.")},
        help_text=_(
            "CSV or NDJSON, as UTF-8; up to 5,000 lines and 900 kB; what is larger, programs can send."
        ),
        widget=forms.ClearableFileInput(
            attrs={"accept": ".csv,.ndjson,.jsonl,text/csv,application/x-ndjson"}
        ),
    )
    text = forms.CharField(required=False, strip=False, widget=forms.HiddenInput)

    def full_clean(self) -> None:
        """What was tried already needs no file again; a page always asks for one."""
        self.fields["file"].required = not self.data.get("text")
        super().full_clean()
        self.fields["file"].required = True

    def data_sent(self) -> bytes:
        """The bytes to read; those of a file before those of a text."""
        file = self.cleaned_data["file"]
        return bytes(file.read()) if file else str(self.cleaned_data["text"]).encode()

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or self.cleaned_data
        if said.get("file") and said["file"].size > MOST_SENT:
            told = gettext("The file has %(size)s bytes; %(most)s can be taken here.")
            sizes = {
                name: in_words(in_thousands(n))
                for name, n in (("size", said["file"].size), ("most", MOST_SENT))
            }
            self.add_error("file", told % sizes)
        return said
