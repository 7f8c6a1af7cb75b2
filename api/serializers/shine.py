"""How shiny a mark looks, as an answer."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers


class RoughnessOutput(serializers.Serializer[Any]):
    """Hundredths; 0 is a mirror, 100 chalk."""

    likely = serializers.IntegerField()
    low = serializers.IntegerField(
        help_text="Low and high held nine in ten of the panels that it was tried on."
    )
    high = serializers.IntegerField()


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A bright, sharp spot",
            value={
                "mark": "mrk_01jzcdk2m4q8r9s0t1v2w3x4y5",
                "looks": "glossy",
                "roughness": {"likely": 6, "low": 0, "high": 17},
                "sentence": "Looks glossy here: the lamp's reflection is small and sharp. "
                "Likely roughness 0.00 to 0.17, 0 a mirror and 1 chalk.",
            },
            response_only=True,
        )
    ]
)
class ShineOutput(serializers.Serializer[Any]):
    """A cue from the highlight, no verdict. `looks` and `roughness` are null where the mark gives none."""

    mark = serializers.CharField()
    looks = serializers.ChoiceField(["glossy", "half shiny", "matte"], allow_null=True)
    roughness = RoughnessOutput(allow_null=True)
    sentence = serializers.CharField(help_text="What was seen, or why there is no cue and what to do.")
