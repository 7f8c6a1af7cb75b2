"""Lengths taken on photos."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.methods.measure import COVERAGE
from registry.models import Claim, Example, KnownBy, Measurement, Photo, Trait
from registry.queries.measured import compared, full_size

from .evidence import PhotoReference
from .shared import IdOutput, Input, ReferenceField, Whole

PARTS = 10_000
CAVEATS = "slanted, not_parallel, other_plane, far_apart: what added to the error."


def two_points(help_text: str) -> serializers.ListField:
    point = serializers.ListField(child=Whole(0, PARTS), min_length=2, max_length=2)
    return serializers.ListField(child=point, min_length=2, max_length=2, help_text=help_text)


class MeasurementInput(Input):
    """Points are [left, top] in hundredths of a percent of the picture."""

    photo = PhotoReference(Photo.objects.all)
    example = ReferenceField(Example.objects.all)
    claim = ReferenceField(Claim.objects.all, required=False, help_text="Whose size it is.")
    trait = ReferenceField(Trait.objects.all, required=False, help_text="Where it is of no claim.")
    known_by = serializers.ChoiceField(KnownBy.choices)
    known_um = Whole(1, 10**6, required=False, help_text="Micrometres; of a ruler or the like alone.")
    reference = two_points("The ends of the known length.")
    measured = two_points("The ends of what is measured.")
    pointing_px = Whole(
        1, 200, required=False, help_text="Standard error of each coordinate, in pixels of the whole picture."
    )
    is_slanted = serializers.BooleanField(required=False, help_text="The camera did not look square on.")
    same_plane = serializers.BooleanField(
        required=False, help_text="Both lines lie on one side of the vehicle; true unless said."
    )
    distance_mm = Whole(20, 10_000, required=False, help_text="From camera to vehicle, if known.")


class SizedStateOutput(serializers.Serializer[Any]):
    state = IdOutput()
    number_um = serializers.IntegerField(source="state.number")
    tolerance_um = serializers.IntegerField(source="state.number_tolerance", allow_null=True)
    fits = serializers.BooleanField(help_text="The measure does not prove that it is another.")


class MeasurementOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    photo = serializers.CharField(source="photo.public_id")
    example = serializers.CharField(source="example.public_id")
    claim = serializers.CharField(source="claim.public_id", allow_null=True, default=None)
    trait = IdOutput(allow_null=True)
    known_by = serializers.CharField()
    known_um = serializers.IntegerField()
    reference = serializers.ListField(child=serializers.ListField(child=serializers.IntegerField()))
    measured = serializers.ListField(child=serializers.ListField(child=serializers.IntegerField()))
    pointing_px = serializers.IntegerField()
    is_slanted = serializers.BooleanField()
    same_plane = serializers.BooleanField()
    distance_mm = serializers.IntegerField(allow_null=True)
    length_um = serializers.IntegerField()
    error_um = serializers.IntegerField(help_text="Two standard uncertainties: about 95 in 100 lie within.")
    standard_error_um = serializers.SerializerMethodField(help_text="One of them, as /v1/identify takes it.")
    full_size_um = serializers.SerializerMethodField(
        help_text="On the full-size vehicle, at the line's scale."
    )
    caveats = serializers.ListField(child=serializers.CharField(), help_text=CAVEATS)
    states = serializers.SerializerMethodField(help_text="States of the trait that have a length, beside it.")
    by = serializers.CharField(source="by.public_id")
    at = serializers.DateTimeField()

    def get_standard_error_um(self, row: Measurement) -> int:
        return -(-row.error_um // COVERAGE)

    def get_full_size_um(self, row: Measurement) -> int:
        return full_size(row)

    def get_states(self, row: Measurement) -> SizedStateOutput(many=True):  # type: ignore[valid-type]
        return SizedStateOutput(compared(row), many=True).data
