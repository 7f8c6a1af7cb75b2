"""What moderators send to merge, split, strike, restore or retitle a variant."""

from __future__ import annotations

from rest_framework import serializers

from registry.models import Example, State, StrikeReason, Variant

from .shared import Input, ReferenceField, many, names
from .shared import Line as Text


class WhyInput(Input):
    reason = Text(300, help_text="Why, in plain words; it is shown, and kept for ever.")


class MergeVariantInput(WhyInput):
    into = ReferenceField(Variant.objects.all, follows=False, help_text="The variant that stays.")


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
