"""Sightings and disputes."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.models import (
    Claim,
    Condition,
    CountKind,
    Example,
    Pack,
    PackVersion,
    Photo,
    PickedOver,
    Release,
    Scope,
    State,
    Statement,
    Trait,
    Variant,
)

from .shared import IdOutput, Input, ReferenceField, Whole, many
from .shared import Line as Text


class CountLineInput(Input):
    kind = serializers.ChoiceField(CountKind.choices, required=False, default=CountKind.VARIANT)
    variants = serializers.ListField(child=ReferenceField(Variant.objects.all), max_length=50, required=False)
    condition = serializers.ChoiceField(Condition.choices, required=False)
    n = Whole(1, 100_000, required=False, default=1)


class SightingInput(Input):
    release = ReferenceField(Release.objects.all)
    scope = serializers.ChoiceField(Scope.choices)
    seen_on = serializers.DateField()
    is_full_count = serializers.BooleanField(required=False, default=False)
    picked_over = serializers.ChoiceField(PickedOver.choices, required=False)
    cases_compared = Whole(1, 10_000, required=False, allow_null=True)
    total = Whole(
        1,
        100_000,
        required=False,
        allow_null=True,
        help_text="Of a full count: what its lines must add up to.",
    )
    no_difference = serializers.BooleanField(
        required=False, default=False, help_text="Of a full count: all were compared, and none differed."
    )
    is_offer = serializers.BooleanField(
        required=False, default=False, help_text="A seller offered it; it was not found on sale."
    )
    pack = ReferenceField(Pack.objects.all, required=False, allow_null=True)
    pack_version = ReferenceField(PackVersion.objects.all, required=False, allow_null=True)
    example = ReferenceField(Example.objects.all, required=False, allow_null=True)
    country = Text(2, required=False)
    region = Text(60, required=False)
    source = Text(200, required=False, help_text="A published source, if not seen in person.")  # type: ignore[assignment]
    note = Text(300, required=False)
    key = Text(
        60,
        required=False,
        help_text="Your own name for it, shown to nobody: the same again is the one there is.",
    )
    traits_seen = serializers.ListField(
        child=ReferenceField(Trait.objects.all), max_length=100, required=False
    )
    count_lines = many(CountLineInput, 0, 60)


class CountLineOutput(serializers.Serializer[Any]):
    kind = serializers.CharField()
    variants = serializers.SerializerMethodField(help_text="Ids; of a merged variant its survivor's.")
    condition = serializers.CharField()
    n = serializers.IntegerField()

    def get_variants(self, line: Any) -> list[str]:
        return list(dict.fromkeys(variant.survivor.public_id for variant in line.variants.all()))


class SightingOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    by = IdOutput()
    release = IdOutput()
    scope = serializers.CharField()
    seen_on = serializers.DateField()
    is_full_count = serializers.BooleanField()
    picked_over = serializers.CharField()
    cases_compared = serializers.IntegerField(allow_null=True)
    total = serializers.IntegerField(allow_null=True)
    no_difference = serializers.BooleanField()
    is_offer = serializers.BooleanField()
    pack = IdOutput(allow_null=True)
    pack_version = IdOutput(allow_null=True)
    example = IdOutput(allow_null=True)
    country = serializers.CharField()
    region = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    note = serializers.CharField()
    traits_seen = serializers.ListField(child=IdOutput(), source="traits_seen.all")
    count_lines = CountLineOutput(many=True)
    added_at = serializers.DateTimeField()
    withdrawn_at = serializers.DateTimeField(allow_null=True)


class FaultOutput(serializers.Serializer[Any]):
    line = serializers.IntegerField()
    field = serializers.CharField()
    value = serializers.CharField()
    detail = serializers.CharField(source="remedy")


class ImportOutput(serializers.Serializer[Any]):
    """What a file of sightings comes to."""

    new = serializers.IntegerField(help_text="Kept; of a dry run, what would be.")
    known = serializers.IntegerField(help_text="Lines whose key you have used before.")
    faults = FaultOutput(many=True, help_text="Empty unless this is a dry run.")


class DisputeInput(Input):
    claim = ReferenceField(Claim.objects.all, required=False, allow_null=True)
    statement = ReferenceField(Statement.objects.all, required=False, allow_null=True)
    state = ReferenceField(
        State.objects.all, required=False, allow_null=True, help_text="The state seen instead."
    )
    reason = Text(500)
    base_revision = Whole(1, required=False, allow_null=True)
    photo = ReferenceField(
        Photo.objects.all,
        required=False,
        allow_null=True,
        help_text="A photograph that shows it. What was decided before is reopened only with one taken in since then.",
    )


class HeldOutput(serializers.Serializer[Any]):
    """An objection that a moderator looks at before anybody else sees it. Its id is no dispute's."""

    id = serializers.CharField(source="public_id")
    claim = serializers.CharField(source="claim.public_id", allow_null=True, default=None)
    statement = serializers.CharField(source="statement.public_id", allow_null=True, default=None)
    reason = serializers.CharField()
    opened_at = serializers.DateTimeField(source="held_at")
    outcome = serializers.CharField()


class DisputeOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    claim = serializers.CharField(source="claim.public_id", allow_null=True, default=None)
    statement = serializers.CharField(source="statement.public_id", allow_null=True, default=None)
    rival = serializers.CharField(source="rival.public_id", allow_null=True, default=None)
    state = IdOutput("rival.state", allow_null=True, default=None)
    opened_by = IdOutput()
    reason = serializers.CharField()
    base_revision = serializers.IntegerField(allow_null=True)
    opened_at = serializers.DateTimeField()
    outcome = serializers.CharField()
    contests = serializers.BooleanField()
    closed_by = serializers.CharField(source="closed_by.public_id", allow_null=True, default=None)
    closing_reason = serializers.CharField()
    closed_at = serializers.DateTimeField(allow_null=True)
