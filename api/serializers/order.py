"""In what order the variants of a release appeared and how common each is, as answers.

Shares and coverage are ten-thousandths; kinds and support are hundredths, for they are estimates.
"""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

ONE, OTHER, STATED = "4k7d9xwpm2cx", "b83jh0vq6tnz", "c1xg5m7rwd90"


class BoundsOutput(serializers.Serializer[Any]):
    """Between which days the first and the last lie; null where nothing says."""

    first_from = serializers.DateField(allow_null=True)
    first_to = serializers.DateField(allow_null=True)
    last_from = serializers.DateField(allow_null=True)
    last_to = serializers.DateField(allow_null=True)


class CountryBoundsOutput(BoundsOutput):
    country = serializers.CharField(help_text="ISO 3166-1 alpha-2.")


class SequencedVariantOutput(serializers.Serializer[Any]):
    variant = serializers.CharField()
    made = BoundsOutput()
    shipped = BoundsOutput(
        help_text="When it was first seen in shops is the order of shipping, not of making."
    )
    shipped_by_country = CountryBoundsOutput(many=True)


class OrderOutput(serializers.Serializer[Any]):
    pairs = serializers.ListField(
        child=serializers.ListField(child=serializers.CharField(), min_length=2, max_length=2),
        help_text="The fewest pairs of variants, earlier then later, from which the rest follows.",
    )
    number = serializers.CharField(
        allow_null=True,
        help_text="How many lists of the variants keep to it, in digits as text; null past 20 variants.",
    )


class SaidOutput(serializers.Serializer[Any]):
    id = serializers.CharField(
        help_text="Of a statement its public id; sightings and windows have names of their own."
    )
    statement = serializers.CharField(
        allow_null=True, help_text="Id of the statement, where somebody stated it."
    )
    kind = serializers.CharField()
    variants = serializers.ListField(child=serializers.CharField())
    dates = serializers.CharField(help_text="`production` or `shipping`: what it dates.")
    earliest = serializers.DateField(allow_null=True)
    latest = serializers.DateField(allow_null=True)
    country = serializers.CharField(help_text="Blank: none in particular.")
    support = serializers.IntegerField(help_text="What speaks for it, in hundredths.")
    words = serializers.CharField()


class ConflictOutput(serializers.Serializer[Any]):
    statements = serializers.ListField(child=serializers.CharField(), help_text="Ids that cannot all hold.")
    doubt = serializers.ListField(child=serializers.CharField(), help_text="The same, least supported first.")
    guarantee = serializers.CharField(
        help_text="`smallest`: no fewer contradict each other; else `irreducible`."
    )
    at_least = serializers.IntegerField()


class DroppedOutput(serializers.Serializer[Any]):
    statements = serializers.ListField(child=serializers.CharField(), help_text="Ids left out of the order.")
    support = serializers.IntegerField(help_text="Theirs together, in hundredths.")
    is_least = serializers.BooleanField()


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Two variants and one notice",
            value={
                "release": "r3k9lqn12h67",
                "variants": [
                    {
                        "variant": ONE,
                        "made": {
                            "first_from": None,
                            "first_to": "2025-03-02",
                            "last_from": None,
                            "last_to": None,
                        },
                        "shipped": {
                            "first_from": None,
                            "first_to": "2025-03-02",
                            "last_from": None,
                            "last_to": None,
                        },
                        "shipped_by_country": [],
                    }
                ],
                "made": {"pairs": [[ONE, OTHER]], "number": "1"},
                "shipped": {"pairs": [], "number": "2"},
                "conflict": None,
                "dropped": {"statements": [], "support": 0, "is_least": True},
                "said": [
                    {
                        "id": STATED,
                        "statement": STATED,
                        "kind": "before",
                        "variants": [ONE, OTHER],
                        "dates": "production",
                        "earliest": None,
                        "latest": None,
                        "country": "",
                        "support": 300,
                        "words": "Anchor crest was made before Gull crest",
                    }
                ],
                "left_out": 0,
            },
            response_only=True,
        )
    ]
)
class SequenceOutput(serializers.Serializer[Any]):
    release = serializers.CharField()
    variants = SequencedVariantOutput(many=True)
    made = OrderOutput()
    shipped = OrderOutput()
    conflict = ConflictOutput(allow_null=True, help_text="Null: all that was said can hold together.")
    dropped = DroppedOutput()
    said = SaidOutput(many=True, help_text="What the answer rests on.")
    left_out = serializers.IntegerField(
        help_text="Statements on variants without a place in the order, or too many."
    )


class ShareOutput(serializers.Serializer[Any]):
    variant = serializers.CharField(
        allow_null=True, help_text="Null: items that were none of the known variants."
    )
    status = serializers.CharField(help_text="`counted`, `only_finds` or `not_counted`.")
    share = serializers.IntegerField(
        allow_null=True,
        help_text="Of the release, ten-thousandths; null without an estimate, as where it was never told.",
    )
    low = serializers.IntegerField(allow_null=True)
    high = serializers.IntegerField(allow_null=True)
    examples = serializers.IntegerField(help_text="Told to be this one, in full counts.")
    clusters = serializers.IntegerField(help_text="Separate looks in which such were.")
    finds = serializers.IntegerField()
    words = serializers.CharField()


class UnmetOutput(serializers.Serializer[Any]):
    """How many kinds there are, from how often each was met. A lower bound in expectation."""

    met = serializers.IntegerField()
    estimate = serializers.IntegerField(help_text="Kinds in all, hundredths.")
    low = serializers.IntegerField(help_text="Hundredths.")
    high = serializers.IntegerField(allow_null=True, help_text="Hundredths; null: no bound.")
    coverage = serializers.IntegerField(help_text="What the kinds met make up, ten-thousandths.")


class NoDifferenceOutput(serializers.Serializer[Any]):
    """Many compared and no difference seen: how common another variant can be, ten-thousandths."""

    examples = serializers.IntegerField()
    cases = serializers.IntegerField()
    share = serializers.IntegerField(help_text="At most this much of the items, where cases mix them.")
    cases_share = serializers.IntegerField(help_text="At most this much of the cases, where they do not.")
    words = serializers.CharField()


class PartOutput(serializers.Serializer[Any]):
    name = serializers.CharField(help_text="The country or the year.")
    shares = ShareOutput(many=True)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "One variant in nine cases",
            value={
                "release": "r3k9lqn12h67",
                "level": 9500,
                "examples": 140,
                "could_not_tell": 2,
                "clusters": 9,
                "units": {"case": 9},
                "shares": [
                    {
                        "variant": ONE,
                        "status": "counted",
                        "share": 833,
                        "low": 333,
                        "high": 1667,
                        "examples": 12,
                        "clusters": 6,
                        "finds": 4,
                        "words": "about 1 in 12; between 1 in 30 and 1 in 6; from 140 examples in 9 cases",
                    }
                ],
                "unmet_by_clusters": {"met": 2, "estimate": 200, "low": 200, "high": 310, "coverage": 10000},
                "unmet_by_examples": {"met": 2, "estimate": 200, "low": 200, "high": 200, "coverage": 10000},
                "no_difference": None,
                "by_country": [],
                "by_year": [],
                "is_cut": False,
            },
            response_only=True,
        )
    ]
)
class AbundanceOutput(serializers.Serializer[Any]):
    release = serializers.CharField()
    level = serializers.IntegerField(help_text="How surely all intervals hold at once, ten-thousandths.")
    examples = serializers.IntegerField(
        help_text="Items of full counts, without those that could not be told."
    )
    could_not_tell = serializers.IntegerField()
    clusters = serializers.IntegerField(help_text="Separate looks: what shares a run counts as one.")
    units = serializers.DictField(
        child=serializers.IntegerField(), help_text="How many cases, pegs and so on."
    )
    shares = ShareOutput(many=True)
    unmet_by_clusters = UnmetOutput()
    unmet_by_examples = UnmetOutput()
    no_difference = NoDifferenceOutput(allow_null=True)
    by_country = PartOutput(many=True, help_text="Where there were at least three separate looks.")
    by_year = PartOutput(many=True)
    is_cut = serializers.BooleanField(help_text="There are more full counts; these are the newest.")
