"""Why a claim stands as it does, as an answer."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers


class HeardVoteOutput(serializers.Serializer[Any]):
    """A vote that counts, with what it weighs. Ids; the order is that in which they were cast."""

    by = serializers.CharField()
    on = serializers.CharField(help_text="The claim voted on: this one, or its other side in a dispute.")
    confirms = serializers.BooleanField(help_text="Whether it is heard for the claim.")
    basis = serializers.CharField()
    example = serializers.CharField(allow_null=True)
    weight = serializers.IntegerField(
        help_text="What it adds to the natural logarithm of the odds, in ten-thousandths."
    )
    words = serializers.CharField()
    at = serializers.DateTimeField()


class UnheardVoteOutput(serializers.Serializer[Any]):
    by = serializers.CharField()
    verdict = serializers.CharField()
    reason = serializers.CharField()
    at = serializers.DateTimeField()


class ShownOutput(serializers.Serializer[Any]):
    mark = serializers.CharField()
    photo = serializers.CharField()
    example = serializers.CharField()
    condition = serializers.CharField()


class WhyDisputeOutput(serializers.Serializer[Any]):
    id = serializers.CharField()
    outcome = serializers.CharField()
    contests = serializers.BooleanField()
    reason = serializers.CharField()


class TurnOutput(serializers.Serializer[Any]):
    """So many further votes of one kind would bring the claim to another word."""

    to = serializers.CharField(
        help_text="open, confirmed, refuted or disputed; corrected or upheld where it ends a dispute."
    )
    verdict = serializers.CharField()
    votes = serializers.IntegerField()
    way = serializers.CharField(help_text="photo, in_hand or photo_and_sealed_example.")
    moderator = serializers.BooleanField(help_text="One of them must be a moderator's.")
    words = serializers.CharField()


class WhyOutput(serializers.Serializer[Any]):
    """What a claim's standing rests on. Where votes are blind to the requester, `votes_shown` is false and the members
    that tell of votes are left out."""

    id = serializers.CharField()
    standing = serializers.CharField()
    founding = serializers.BooleanField()
    missing = serializers.ListField(child=serializers.CharField())
    shown_by = ShownOutput(many=True)
    sealed = serializers.BooleanField()
    proof = serializers.CharField(help_text="What the photos prove, in words.")
    disputes = WhyDisputeOutput(many=True)
    votes_shown = serializers.BooleanField(
        help_text="Votes are blind until you have voted, or the claim is decided or closed."
    )
    probability = serializers.IntegerField(
        required=False, help_text="That the claim is true, by the votes that count; in ten-thousandths."
    )
    likely = serializers.CharField(required=False)
    votes = HeardVoteOutput(many=True, required=False)
    votes_not_heard = UnheardVoteOutput(many=True, required=False)
    would_change = TurnOutput(many=True, required=False)
