"""Readings of gloss meters."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.actions.gloss import LONGEST_INSTRUMENT
from registry.methods.gloss_meter import ANGLES, gloss_range
from registry.models import Claim, Example, GlossReading, Trait
from registry.models.gloss import MOST_TENTHS
from registry.queries.gloss import judged

from .shared import IdOutput, Input, Line, ReferenceField, Whole

GEOMETRY = "Degrees from upright, as in ISO 2813; 60 is taken first."
RANGES = ["low gloss", "semi-gloss", "high gloss"]


class ClaimGlossInput(Input):
    example = ReferenceField(Example.objects.all)
    geometry = serializers.ChoiceField(ANGLES, help_text=GEOMETRY)
    tenths = Whole(0, MOST_TENTHS, help_text="Tenths of a gloss unit; black glass is 1000.")
    instrument = Line(LONGEST_INSTRUMENT, required=False, help_text="About the meter.")


class GlossInput(ClaimGlossInput):
    """Of a claim, or else of a trait: either is of kind finish."""

    claim = ReferenceField(Claim.objects.all, required=False)
    trait = ReferenceField(Trait.objects.all, required=False, help_text="Where it is of no claim.")


class GlossOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    example = serializers.CharField(source="example.public_id")
    claim = serializers.CharField(source="claim.public_id", allow_null=True, default=None)
    trait = IdOutput()
    geometry = serializers.IntegerField(help_text=GEOMETRY)
    tenths = serializers.IntegerField(help_text="Tenths of a gloss unit.")
    range = serializers.SerializerMethodField(help_text=f"At 60 degrees: {', '.join(RANGES)}; else null.")
    better_geometry = serializers.SerializerMethodField(
        help_text="Where to read again for a finer answer; null where this angle is right."
    )
    advice = serializers.SerializerMethodField(
        help_text="What to do next; empty where nothing is left to do."
    )
    instrument = serializers.CharField()
    by = serializers.CharField(source="by.public_id")
    at = serializers.DateTimeField()

    def get_range(self, row: GlossReading) -> str | None:
        return gloss_range(row.geometry, row.gloss_units) or None

    def get_better_geometry(self, row: GlossReading) -> int | None:
        return judged(row).better_angle

    def get_advice(self, row: GlossReading) -> str:
        return judged(row).advice
