"""What moderators send to add to the catalogue and to curate what was proposed."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.models import (
    AvailabilityKind,
    Casting,
    Line,
    Maker,
    Mark,
    Pack,
    PackKind,
    Place,
    Release,
    State,
    Trait,
    TraitKind,
    Variant,
)
from registry.models.traits import Fidelity

from .shared import Input, ReferenceField, Whole, many, names
from .shared import Line as Text


class MakerInput(Input):
    name = Text(80)


class LineInput(Input):
    maker = ReferenceField(Maker.objects.all)
    name = Text(80)
    scale = Whole(1, 1000, help_text="The n of 1:n.")


class CastingInput(Input):
    maker = ReferenceField(Maker.objects.all)
    name = Text(80)
    what = Text(80, required=False)
    nicknames = names(required=False)
    subject = Text(120, required=False)
    wheelbase_um = Whole(1, 10**6, required=False, help_text="Micrometres, on the model.")


class ReleaseInput(Input):
    casting = ReferenceField(Casting.objects.all)
    line = ReferenceField(Line.objects.all)
    name = Text(120)
    number = Text(40, required=False)
    year = Whole(1900, 2200)
    livery = Text(120, required=False)
    nicknames = names(required=False)
    reissue_of = ReferenceField(Release.objects.all, required=False)
    adopts = serializers.ListField(
        child=ReferenceField(Trait.objects.all),
        max_length=100,
        required=False,
        help_text="Traits it takes up; the line's standard checks where this is left out.",
    )


class AssortmentItemInput(Input):
    release = ReferenceField(Release.objects.all)
    per_case = Whole(1, 1000, required=False, allow_null=True)


class AssortmentInput(Input):
    line = ReferenceField(Line.objects.all)
    name = Text(120)
    case_code = Text(40, required=False)
    opens_on = serializers.DateField(required=False)
    closes_on = serializers.DateField(required=False)
    case_count = Whole(1, 1000, required=False)
    items = many(AssortmentItemInput, 0, 200, required=False)

    def validate_items(self, items: list[dict[str, Any]]) -> dict[Release, int | None]:
        return {item["release"]: item.get("per_case") for item in items}


class CaseContentInput(Input):
    variant = ReferenceField(Variant.objects.all)
    per_case = Whole(1, 1000)
    source = Text(200)  # type: ignore[assignment]


class PackContentInput(Input):
    release = ReferenceField(Release.objects.all)
    count = Whole(1, 1000, required=False, default=1)


class PackInput(Input):
    line = ReferenceField(Line.objects.all)
    name = Text(120)
    kind = serializers.ChoiceField(PackKind.choices)
    gtin = Text(20, required=False, source="gtin_code", help_text="GTIN-8, 12, 13 or 14, or UPC-E.")
    is_sealed = serializers.BooleanField(required=False, default=True)
    is_see_through = serializers.BooleanField(required=False, default=True)
    contents = many(PackContentInput, 1, 50)

    def validate_contents(self, contents: list[dict[str, Any]]) -> dict[Release, int]:
        return {content["release"]: content["count"] for content in contents}


class PackVersionInput(Input):
    name = Text(80)
    card_art = Text(120, required=False)
    language = Text(40, required=False)
    blister = Text(80, required=False)
    insert = Text(80, required=False)
    codes = Text(120, required=False, help_text="Codes printed on the pack.")


class AvailabilityInput(Input):
    region = Text(60)
    kind = serializers.ChoiceField(AvailabilityKind.choices)
    on = serializers.DateField()
    source = Text(200)  # type: ignore[assignment]


class TraitInput(Input):
    line = ReferenceField(Line.objects.all, required=False, help_text="For a standard check of a line.")
    casting = ReferenceField(Casting.objects.all, required=False, help_text="For a trait of one casting.")
    key = Text(40, help_text="Small letters, digits and underscores; never changes.")
    name = Text(80)
    place = serializers.ChoiceField(Place.choices)
    kind = serializers.ChoiceField([choice for choice in TraitKind.choices if choice[0] != TraitKind.CAUSE])
    how_to_inspect = Text(300, required=False)
    seen_in_pack = serializers.BooleanField(required=False, default=False)
    alterable = serializers.BooleanField(required=False, default=False)
    nicknames = names(required=False)


class StateInput(Input):
    trait = ReferenceField(Trait.objects.all)
    key = Text(40, help_text="Small letters, digits and underscores; never changes.")
    name = Text(80)
    nicknames = names(required=False)
    is_absence = serializers.BooleanField(required=False, default=False)
    lab = serializers.ListField(
        child=Whole(-16_000, 16_000), min_length=3, max_length=3, required=False,
        help_text="CIELAB under D50, in hundredths.",
    )  # fmt: skip
    lab_tolerance = Whole(0, 10_000, required=False, help_text="CIEDE2000, in hundredths.")
    number = Whole(-(10**9), 10**9, required=False, help_text="Micrometres, or a count.")
    number_tolerance = Whole(0, 10**9, required=False)
    unit = Text(8, required=False)

    def validate_lab(self, lab: list[int]) -> tuple[int, ...]:
        return tuple(lab)


class AdoptionInput(Input):
    trait = ReferenceField(Trait.objects.all)
    place = serializers.ChoiceField(Place.choices, required=False)
    note = Text(300, required=False)
    seen_in_pack = serializers.BooleanField(required=False, allow_null=True, default=None)


class DriftInput(Input):
    trait = ReferenceField(Trait.objects.all)
    low = Whole(-(10**9), 10**9, required=False, allow_null=True)
    high = Whole(-(10**9), 10**9, required=False, allow_null=True)
    unit = Text(8, required=False)
    note = Text(300)
    source = Text(200)  # type: ignore[assignment]


class ReleaseStateInput(Input):
    """What one state is like on this release: how true to a subject, and which mark shows it best."""

    fidelity = serializers.ChoiceField(Fidelity.choices, required=False)
    subject = Text(120, required=False)
    source = Text(200, required=False)  # type: ignore[assignment]
    sample = ReferenceField(Mark.objects.all, required=False)

    def validate(self, said: dict[str, Any]) -> dict[str, Any]:
        if "fidelity" not in said and ("sample" not in said or len(said) > 1):
            raise serializers.ValidationError({"fidelity": "Say the fidelity, or send a sample alone."})
        return said


class SealedInput(Input):
    sealed_unobtainable = serializers.BooleanField(help_text="Sealed examples are not to be had.")


class AcceptInput(Input):
    alterable = serializers.BooleanField(
        required=False, allow_null=True, default=None, help_text="Of a trait."
    )


class CastingRename(Input):
    name = Text(80, required=False)
    what = Text(80, required=False)
    nicknames = names(required=False)
    subject = Text(120, required=False)
    wheelbase_um = Whole(
        1, 10**6, required=False, allow_null=True, help_text="Micrometres, on the model; null: not known."
    )


class ReleaseRename(Input):
    name = Text(120, required=False)
    number = Text(40, required=False)
    livery = Text(120, required=False)
    nicknames = names(required=False)


class TraitRename(Input):
    name = Text(80, required=False)
    how_to_inspect = Text(300, required=False)
    nicknames = names(required=False)


class StateRename(Input):
    name = Text(80, required=False)
    nicknames = names(required=False)


class PackRename(Input):
    name = Text(120, required=False)


class MergeInput(Input):
    reason = Text(300, required=False, help_text="Why they are the same; it is kept in the journal.")


class CastingMerge(MergeInput):
    into = ReferenceField(Casting.objects.all)


class ReleaseMerge(MergeInput):
    into = ReferenceField(Release.objects.all)


class TraitMerge(MergeInput):
    into = ReferenceField(Trait.objects.all)


class StateMerge(MergeInput):
    into = ReferenceField(State.objects.all)


class PackMerge(MergeInput):
    into = ReferenceField(Pack.objects.all)
