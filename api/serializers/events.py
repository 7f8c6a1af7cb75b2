"""What moderators send to merge, split, strike, restore or retitle a variant."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.models import Example, State, StrikeReason, Variant

from .shared import Input, ReferenceField, many, names
from .shared import Line as Text


class WhyInput(Input):
    reason = Text(300, help_text="Why, in plain words; it is shown, and kept for ever.")


class MergeVariantInput(WhyInput):
    into = ReferenceField(Variant.objects.all, follows=False, help_text="The variant that stays.")


class DeedOutput(serializers.Serializer[Any]):
    """What a moderator asked for and another one has to confirm, at /v1/deeds/{id}/confirm."""

    id = serializers.CharField(source="public_id")
    kind = serializers.CharField(help_text="role.grant, variant.strike or variant.merge.")
    detail = serializers.DictField(
        child=serializers.CharField(), help_text="What it is about, by public ids."
    )
    words = serializers.CharField(help_text="What it is, as it read when it was asked for.")
    reason = serializers.CharField()
    asked_by = serializers.CharField(source="asked_by.public_id")
    asked_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField()
    outcome = serializers.CharField(help_text="waiting, done or declined.")
    decided_by = serializers.CharField(source="decided_by.public_id", allow_null=True, default=None)
    decided_at = serializers.DateTimeField(allow_null=True)


class PartInput(Input):
    title = Text(120)
    nicknames = names(required=False)
    states = serializers.ListField(
        child=ReferenceField(State.objects.all),
        min_length=1,
        max_length=20,
        help_text="What tells this part from the rest, one state for each trait that differs.",
    )
    examples = serializers.ListField(
        child=ReferenceField(Example.objects.all),
        max_length=200,
        required=False,
        help_text="Examples of its kind: what is marked on them is its evidence from now on.",
    )


class SplitVariantInput(WhyInput):
    parts = many(PartInput, 1, 20)
    keeps = serializers.BooleanField(
        default=True, help_text="The variant goes on under its id as the main part; false: it ends."
    )


class StrikeVariantInput(WhyInput):
    reason_code = serializers.ChoiceField(StrikeReason.choices)


class RetitleVariantInput(WhyInput):
    title = Text(120, required=False, allow_blank=False)
    nicknames = names(required=False)
