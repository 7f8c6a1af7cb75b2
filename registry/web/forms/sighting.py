"""What was seen, where and how many."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from registry.models import Condition, CountKind, Pack, PickedOver, Release, Scope, Trait, Variant

MOST = 100_000


class SightingForm(forms.Form):
    """One line for each known variant, one for those of which one cannot tell which, one for none of the known."""

    scope = forms.ChoiceField(choices=Scope.choices, label="What did you look at?", initial=Scope.PEG)
    seen_on = forms.DateField(
        label="Day", widget=forms.DateInput(attrs={"type": "date"}), help_text="As 2026-03-14."
    )
    is_full_count = forms.BooleanField(
        required=False,
        label="I counted everything of this release that was there",
        help_text="Only full counts say how common a variant is: untick it if you looked for one in particular.",
    )
    picked_over = forms.ChoiceField(
        choices=PickedOver.choices, initial=PickedOver.UNKNOWN, label="Had others picked through it before?"
    )
    cases_compared = forms.IntegerField(
        required=False, min_value=1, max_value=10_000, label="From how many shipping cases"
    )
    pack = forms.ModelChoiceField(
        Pack.objects.none(),
        required=False,
        to_field_name="public_id",
        label="In which pack",
        empty_label="not noted",
    )
    condition = forms.ChoiceField(
        choices=[("", "not noted"), *Condition.choices], required=False, label="Condition"
    )
    country = forms.CharField(
        max_length=2, required=False, label="Country", help_text="Two letters, such as NL."
    )
    region = forms.CharField(
        max_length=60, required=False, label="Wide region", help_text="No finer than a province."
    )
    source = forms.CharField(
        max_length=200,
        required=False,
        label="Where it was published",
        help_text="Only if you did not see it yourself.",
    )
    note = forms.CharField(max_length=300, required=False, label="Note")
    traits_seen = forms.ModelMultipleChoiceField(
        Trait.objects.none(),
        required=False,
        to_field_name="public_id",
        widget=forms.CheckboxSelectMultiple,
        label="Which details could you see?",
    )
    none_known = forms.IntegerField(
        required=False, min_value=1, max_value=MOST, label="None of the known ones"
    )
    unsure = forms.ModelMultipleChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        widget=forms.CheckboxSelectMultiple,
        label="One of these, I cannot tell which",
    )
    unsure_n = forms.IntegerField(required=False, min_value=1, max_value=MOST, label="How many of those")

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.variants = list(Variant.objects.live().filter(release=release).order_by("noticed_on", "id"))
        for variant in self.variants:
            self.fields[f"n_{variant.public_id}"] = forms.IntegerField(
                required=False,
                min_value=1,
                max_value=MOST,
                label=variant.title,
                widget=forms.NumberInput(attrs={"class": "small", "inputmode": "numeric"}),
            )
        if len(self.variants) < 2:  # one cannot be unsure which one of one
            del self.fields["unsure"], self.fields["unsure_n"]
        choices: Any = self.fields
        choices["pack"].queryset = release.packs.current().order_by("name")
        if "unsure" in choices:
            variants = Variant.objects.live().filter(release=release)
            choices["unsure"].queryset = variants.order_by("noticed_on", "id")
        adopted = Trait.objects.current().filter(adoptions__release=release)
        choices["traits_seen"].queryset = adopted.order_by("place", "id")

    def counts(self) -> Iterator[forms.BoundField]:
        """The boxes to count in, one for each known variant."""
        for variant in self.variants:
            yield self[f"n_{variant.public_id}"]

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or self.cleaned_data
        if bool(said.get("unsure")) != bool(said.get("unsure_n")) and not self.errors:
            self.add_error("unsure_n", "Tick which ones it may be, and say how many you saw.")
        if not self.errors and not self.count_lines():
            self.add_error(None, "Say how many you saw, in at least one of the boxes.")
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
        if said.get("none_known"):
            lines.append({"kind": CountKind.NONE_KNOWN, "variants": [], "n": said["none_known"]})
        return [{**line, "condition": said.get("condition", "")} for line in lines]

    def sighting(self) -> dict[str, Any]:
        """The rest of what was said."""
        fields = (
            "scope",
            "seen_on",
            "is_full_count",
            "picked_over",
            "cases_compared",
            "pack",
            "country",
            "region",
            "source",
            "note",
        )
        return {field: self.cleaned_data[field] for field in fields} | {
            "count_lines": self.count_lines(),
            "traits_seen": list(self.cleaned_data["traits_seen"]),
        }
