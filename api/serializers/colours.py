"""What a photo's colours are measured by, and what was measured on its marks."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.models import ChartKind

from .shared import Input


class ChartInput(Input):
    """Which chart a photo holds, and where."""

    kind = serializers.ChoiceField(
        ChartKind.choices, help_text="`none` says that there is none, and takes back one that was none."
    )
    corners = serializers.ListField(
        child=serializers.ListField(
            child=serializers.FloatField(min_value=-2, max_value=102), min_length=2, max_length=2
        ),
        min_length=4,
        max_length=4,
        required=False,
        help_text="Its four corners in any order, percent from the left and from the top. A 24-patch chart is looked "
        "for where they are left out.",
    )


class ChartOutput(serializers.Serializer[Any]):
    kind = serializers.CharField()
    corners = serializers.ListField(
        child=serializers.ListField(child=serializers.FloatField()),
        source="percents",
        help_text="Percent of the picture, clockwise from the brown patch; of a grey card from the top left.",
    )
    residual = serializers.IntegerField(
        allow_null=True, help_text="Median CIEDE2000 of the patches, each by all others, in hundredths."
    )
    worst = serializers.IntegerField(allow_null=True, help_text="The largest of them.")
    by = serializers.CharField(
        source="by.public_id", allow_null=True, default=None, help_text="Null: found by the program."
    )
    at = serializers.DateTimeField()


class AgainstOutput(serializers.Serializer[Any]):
    state = serializers.CharField(help_text="Id of a state.")
    name = serializers.CharField()
    distance = serializers.IntegerField(help_text="CIEDE2000 from its reference colour, in hundredths.")
    is_excluded = serializers.BooleanField(help_text="So far that the picture rules it out.")


class ColourOutput(serializers.Serializer[Any]):
    """What was measured on a mark. It never changes where a claim stands."""

    sentence = serializers.CharField(help_text="The verdict in words, or why there is none.")
    lab = serializers.ListField(
        child=serializers.IntegerField(),
        allow_null=True,
        help_text="Median CIELAB (D50) in hundredths; null without a chart or grey card in the picture.",
    )
    error = serializers.IntegerField(allow_null=True, help_text="Standard error, CIEDE2000 in hundredths.")
    spread = serializers.IntegerField(
        allow_null=True, help_text="Median CIEDE2000 of the pixels from it, in hundredths."
    )
    used = serializers.IntegerField(
        allow_null=True, help_text="Share of pixels that are no highlight, in hundredths of a percent."
    )
    name = serializers.CharField(help_text="The nearest centroid of the ISCC-NBS system of colour names.")
    chart = serializers.CharField(help_text="What it was measured by: patch_chart or grey_card; else empty.")
    against = AgainstOutput(many=True, help_text="Each state with a reference colour, nearest first.")
