"""What was learnt from votes, as answers: counts, everybody's rates and agreement; never one reviewer's rates."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

_PER = 100  # stored in millionths, told in ten-thousandths


class PerTenThousand(serializers.IntegerField):
    """A stored number of millionths, in ten-thousandths."""

    def to_representation(self, value: int) -> int:
        return round(value / _PER)


class ConfusedOutput(serializers.Serializer[Any]):
    states = serializers.ListField(
        child=serializers.CharField(allow_null=True), help_text="Two ids; null where the vote named no state."
    )
    pairs_per_100 = serializers.IntegerField(help_text="Pairs of votes, in hundredths of a pair.")


class AgreementOutput(serializers.Serializer[Any]):
    fit = serializers.IntegerField(source="fit.number")
    alpha_per_10000 = PerTenThousand(
        source="alpha",
        allow_null=True,
        help_text="Krippendorff's alpha: 10000 where all agree, 0 as by chance; null where all said the same.",
    )
    low_per_10000 = PerTenThousand(source="low", allow_null=True, help_text="Of its 95 % bootstrap interval.")
    high_per_10000 = PerTenThousand(source="high", allow_null=True)
    units = serializers.IntegerField(help_text="Claims with two votes or more.")
    votes = serializers.IntegerField(help_text="Votes on those.")
    hard_to_judge = serializers.BooleanField(source="is_hard")
    confused = serializers.SerializerMethodField()

    @extend_schema_field(ConfusedOutput(many=True))
    def get_confused(self, row: Any) -> list[dict[str, Any]]:
        """Pairs of states most often taken for one another."""
        return [{"states": [one, other], "pairs_per_100": pairs} for one, other, pairs in row.confused]


class FitOutput(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    made_at = serializers.DateTimeField()
    policy = serializers.IntegerField(source="policy.version")
    claims = serializers.IntegerField()
    votes = serializers.IntegerField()
    reviewers = serializers.IntegerField()
    known = serializers.IntegerField(help_text="Claims whose answer was given, such as moderators' rulings.")
    rounds = serializers.IntegerField()
    converged = serializers.BooleanField()
    sha256 = serializers.CharField(source="digest", help_text="Of its rates, as editions name it.")
    in_force = serializers.BooleanField(help_text="Votes weigh by it now.")


class FitRateOutput(serializers.Serializer[Any]):
    kind = serializers.CharField(help_text="Kind of trait; empty for all together.")
    in_hand = serializers.BooleanField()
    sensitivity_per_10000 = PerTenThousand(source="sensitivity", help_text="Of true claims, confirmed.")
    specificity_per_10000 = PerTenThousand(source="specificity", help_text="Of false claims, contradicted.")


class AdoptionOfFitOutput(serializers.Serializer[Any]):
    at = serializers.DateTimeField()
    reason = serializers.CharField()


class FitRecordOutput(FitOutput):
    population = FitRateOutput(
        many=True, help_text="Reviewers taken together; no one reviewer's rates are told."
    )
    adopted = AdoptionOfFitOutput(many=True, help_text="Each time it came into force.")
