"""What a member owns and what they look for: seen by them alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from registry.models import Condition, Depth, Example, Line, PackVersion, Release, Trait, Variant

from .shared import IdOutput, Input, ReferenceField, Whole
from .shared import Line as Text
from .sightings import FaultOutput


class CabinetItemInput(Input):
    release = ReferenceField(Release.objects.all)
    variant = ReferenceField(Variant.objects.all, required=False, allow_null=True)
    pack_version = ReferenceField(PackVersion.objects.all, required=False, allow_null=True)
    example = ReferenceField(Example.objects.all, required=False, allow_null=True, own="owner")
    condition = serializers.ChoiceField(Condition.choices)
    count = Whole(1, 10_000, required=False, default=1)
    to_swap = Whole(0, 10_000, required=False, default=0)
    wear = Text(120, required=False, help_text="Its condition, in your own words.")
    note = Text(300, required=False)


class CabinetItemChange(Input):
    variant = ReferenceField(Variant.objects.all, required=False, allow_null=True)
    pack_version = ReferenceField(PackVersion.objects.all, required=False, allow_null=True)
    condition = serializers.ChoiceField(Condition.choices, required=False)
    count = Whole(1, 10_000, required=False)
    to_swap = Whole(0, 10_000, required=False)
    wear = Text(120, required=False, help_text="Its condition, in your own words.")
    note = Text(300, required=False)


class CabinetItemOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    release = IdOutput()
    variant = IdOutput(allow_null=True)
    pack_version = serializers.CharField(source="pack_version.public_id", allow_null=True, default=None)
    example = serializers.CharField(source="example.public_id", allow_null=True, default=None)
    condition = serializers.CharField()
    count = serializers.IntegerField()
    to_swap = serializers.IntegerField()
    wear = serializers.CharField(help_text="Its condition, in your own words.")
    note = serializers.CharField()
    revision = serializers.IntegerField()
    added_at = serializers.DateTimeField()
    changed_at = serializers.DateTimeField()


class CabinetImportOutput(serializers.Serializer[Any]):
    """What a file of a cabinet comes to."""

    new = serializers.IntegerField(help_text="Put in; of a dry run, what would be.")
    changed = serializers.IntegerField(help_text="Entries named by id that read otherwise now.")
    known = serializers.IntegerField(help_text="Rows that say what stands there already.")
    faults = FaultOutput(many=True, help_text="Empty unless this is a dry run.")


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Each running change, with errors",
            value={"depth": "change", "with_errors": True, "lines": ["4k7d9xwpm2cx"]},
            request_only=True,
        ),
        OpenApiExample(
            "Only some details count",
            value={"depth": "traits", "traits": ["9m3c7xw2k4dp"]},
            request_only=True,
        ),
    ]
)
class HuntChange(Input):
    depth = serializers.ChoiceField(
        Depth.choices, required=False, help_text="What counts as one thing to find."
    )
    with_errors = serializers.BooleanField(required=False, help_text="Factory errors too.")
    with_samples = serializers.BooleanField(required=False, help_text="Pre-production samples too.")
    lines = serializers.ListField(
        child=ReferenceField(Line.objects.all), max_length=300, required=False, help_text="None: every line."
    )
    traits = serializers.ListField(
        child=ReferenceField(Trait.objects.all),
        max_length=300,
        required=False,
        help_text="The details that count, at depth `traits`.",
    )


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Each running change of one line",
            value={
                "depth": "change",
                "with_errors": False,
                "with_samples": False,
                "lines": ["4k7d9xwpm2cx"],
                "traits": [],
                "revision": 3,
            },
            response_only=True,
        )
    ]
)
class HuntOutput(serializers.Serializer[Any]):
    """How deep you collect. `revision` 0: you never chose, and this is what holds then."""

    depth = serializers.CharField()
    with_errors = serializers.BooleanField()
    with_samples = serializers.BooleanField()
    lines = serializers.SerializerMethodField()
    traits = serializers.SerializerMethodField(help_text="Ids; of a merged one its survivor's.")
    revision = serializers.IntegerField()

    def get_lines(self, hunt: Any) -> list[str]:
        return sorted(line.public_id for line in hunt.lines.all()) if hunt.pk else []

    def get_traits(self, hunt: Any) -> list[str]:
        return sorted({trait.survivor.public_id for trait in hunt.traits.all()}) if hunt.pk else []


@extend_schema_field({"type": "string", "example": "Roof crest: gull; Wheels: chrome"})
class TellField(serializers.CharField):
    """By what to tell a variant from all others of its release, in one line."""


class MissingOutput(serializers.Serializer[Any]):
    kind = serializers.CharField(help_text="`casting`, `release`, `variant` or `packversion`.")
    id = serializers.CharField(source="thing.public_id")
    name = serializers.CharField(source="thing.__str__")
    tell = TellField(help_text="By what to tell it, in one line.")
    in_pack = serializers.BooleanField(
        allow_null=True, help_text="Whether all of that shows in the blister or box; null: nothing is told."
    )
    or_else = serializers.ListField(
        child=IdOutput(), help_text="Variants that would do as well: alike in the details that count."
    )


class HuntRowOutput(serializers.Serializer[Any]):
    """A release of which something is missing, in one assortment."""

    assortment = serializers.CharField(
        source="assortment.public_id",
        allow_null=True,
        default=None,
        help_text="Null: in none that is listed.",
    )
    case_code = serializers.CharField(source="assortment.case_code", allow_null=True, default=None)
    release = IdOutput()
    release_name = serializers.CharField(source="release.__str__")
    owned = serializers.IntegerField(help_text="How many of the `known` kinds you have.")
    known = serializers.IntegerField()
    unchecked = serializers.IntegerField(help_text="Owned without saying which one: it may be one of these.")
    missing = MissingOutput(many=True)
    more = serializers.IntegerField(help_text="So many more are missing; see the release.")
