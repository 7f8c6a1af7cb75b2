"""Two photos compared, as an answer."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

EXAMPLE = {
    "a": {"photo": "4k7d9xwpm2cx", "xywh": "xywh=percent:0,0,100,100"},
    "b": {"photo": "7wm3c5zr9hqk", "xywh": "xywh=percent:0,0,100,100"},
    "mirrored": False,
    "aligned": True,
    "refusal": None,
    "homography": [1.0, 0.0, -0.002, 0.0, 1.0, -0.003, 0.0, 0.0, 1.0],
    "inliers": 777,
    "matches": 811,
    "agreement": 9800,
    "same_picture": False,
    "differences": [
        {
            "a": "xywh=percent:23,68.97,9.6,13.19",
            "b": "xywh=percent:22.98,69.73,9.14,12.14",
            "score": 1464,
            "cue": "lightness",
            "marks": [
                {
                    "id": "9c2hx4dpw7mk",
                    "photo": "7wm3c5zr9hqk",
                    "claim": "5rz8kq3vd6tb",
                    "variant": "3h9wd7kcx5mp",
                    "trait": "Front wheels",
                    "state": "five-slot chrome",
                }
            ],
        }
    ],
}


class ComparedPhotoOutput(serializers.Serializer[Any]):
    photo = serializers.CharField(source="photo.public_id")
    xywh = serializers.CharField(source="fragment", help_text="The region compared (Media Fragments).")


class TouchedMarkOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    photo = serializers.CharField(source="photo.public_id")
    claim = serializers.CharField(source="claim.public_id")
    variant = serializers.CharField(source="claim.variant.public_id")
    trait = serializers.CharField(source="claim.trait.survivor.name")
    state = serializers.CharField(source="claim.state.survivor.name")


class RegionDifferenceOutput(serializers.Serializer[Any]):
    a = serializers.CharField(source="a_fragment", help_text="Where on `a`, in percent of the whole photo.")
    b = serializers.CharField(source="b_fragment")
    score = serializers.SerializerMethodField(
        help_text="Strength summed over the region, in thousandths of a percent of the compared picture."
    )
    cue = serializers.CharField(help_text="What differs most there: colour, lightness or pattern.")
    marks = TouchedMarkOutput(many=True, help_text="Marks on either photo that touch it.")

    def get_score(self, seen: Any) -> int:
        return round(seen.score * 1000)


class RefusalOutput(serializers.Serializer[Any]):
    code = serializers.CharField(
        help_text="unlike, nothing_to_see, region_too_small, fits_in_one_spot, little_in_common, mirrored or bent."
    )
    detail = serializers.CharField()


@extend_schema_serializer(examples=[OpenApiExample("Other wheels", value=EXAMPLE, response_only=True)])
class ComparisonOutput(serializers.Serializer[Any]):
    """Two photos laid one over the other. A difference is a place to look at, not a finding."""

    a = ComparedPhotoOutput()
    b = ComparedPhotoOutput()
    mirrored = serializers.BooleanField(source="is_mirrored")
    aligned = serializers.BooleanField(source="is_aligned", help_text="Whether one fits on the other at all.")
    refusal = RefusalOutput(allow_null=True, help_text="Why not; null where they fit.")
    homography = serializers.ListField(
        child=serializers.FloatField(),
        allow_null=True,
        min_length=9,
        max_length=9,
        help_text="Row by row, from a point of `b` to its place on `a`, both in percent of the whole photo.",
    )
    inliers = serializers.IntegerField(help_text="Points that fit, of `matches`.")
    matches = serializers.IntegerField()
    agreement = serializers.SerializerMethodField(
        help_text="Of what has a pattern, the share that is the same in both, in ten-thousandths."
    )
    same_picture = serializers.BooleanField(source="is_same")
    differences = RegionDifferenceOutput(many=True, help_text="At most twelve, the plainest first.")

    def get_agreement(self, compared: Any) -> int | None:
        return None if compared.agreement is None else round(compared.agreement * 10_000)
