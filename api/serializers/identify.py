"""Which one is it: what was seen, and the answer."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.methods.identifiers import parse_gtin, parse_id
from registry.methods.identify import EVERYTHING, Need
from registry.queries.identify import KINDS, Question, Scope

from .shared import Input, Whole, many
from .shared import Line as Text

MOST_ITEMS = 1_000
MOST_OBSERVED = 200
TEN_THOUSANDTHS = "In ten-thousandths."


class ScopeInput(Input):
    """Whose variants it may be: exactly one of these."""

    release = Text(40, required=False, help_text="Id of a release.")
    casting = Text(40, required=False, help_text="Id of a casting: all its releases.")
    line = Text(40, required=False, help_text="Id of a line.")
    gtin = Text(20, required=False, help_text="A bar code: all releases sold in packs under it.")
    all = serializers.BooleanField(required=False, help_text="True: everything that is listed.")

    def validate(self, said: dict[str, Any]) -> dict[str, Any]:
        given = [kind for kind in KINDS if said.get(kind)]
        if len(given) != 1:
            raise serializers.ValidationError(f"Name one of: {', '.join(KINDS)}.")
        kind = given[0]
        try:
            name = {"all": lambda _: "", "gtin": parse_gtin}.get(kind, parse_id)(said[kind])
        except ValueError as fault:
            raise serializers.ValidationError({kind: str(fault)}) from None
        return {"scope": Scope(kind, name)}


class ObservationInput(Input):
    """What was seen of one detail: exactly one of these, `value` and `lab` with their `error`."""

    state = Text(40, required=False, help_text="Key or id of the state seen.")
    states = serializers.ListField(
        child=Text(40), min_length=1, max_length=60, required=False, help_text="One of these, not sure which."
    )
    not_sure = serializers.BooleanField(required=False, help_text="True: looked, and could not tell.")
    not_visible = serializers.BooleanField(required=False, help_text="True: the place could not be seen.")
    none_of_these = serializers.BooleanField(
        required=False, help_text="True: a state that nobody has listed."
    )
    value = serializers.FloatField(
        required=False, min_value=-1e12, max_value=1e12, help_text="A measure, lengths in micrometres."
    )
    lab = serializers.ListField(
        child=serializers.FloatField(min_value=-200, max_value=200),
        min_length=3,
        max_length=3,
        required=False,
        help_text="A measured colour, CIELAB (D50), such as a mark tells; its `error` in CIEDE2000.",
    )
    error = serializers.FloatField(
        required=False, min_value=1e-6, max_value=1e12, help_text="The standard error of what was measured."
    )


class QuestionInput(Input):
    """One item. Nothing observed is answered with how often each variant is found."""

    scope = ScopeInput()
    observed = serializers.DictField(
        child=ObservationInput(), required=False, help_text="By key or id of the trait; at most 200."
    )
    can = serializers.ListField(
        child=serializers.ChoiceField([need.value for need in Need]),
        max_length=len(Need),
        required=False,
        help_text="What can be looked at now; all where left out. `[]`: through the pack, with nothing at hand.",
    )
    prior = serializers.ChoiceField(
        ["abundance", "flat"],
        required=False,
        default="abundance",
        help_text="From full counts where there are any, or each variant equally likely.",
    )
    limit = Whole(1, 50, required=False, default=10)

    def validate_observed(self, said: dict[str, Any]) -> dict[str, Any]:
        if len(said) > MOST_OBSERVED:
            raise serializers.ValidationError(f"Name at most {MOST_OBSERVED} details.")
        return said

    def validate(self, said: dict[str, Any]) -> dict[str, Any]:
        can = frozenset(map(Need, said["can"])) if "can" in said else EVERYTHING
        return {
            "question": Question(
                scope=said["scope"]["scope"],
                observed=said.get("observed", {}),
                can=can,
                flat=said["prior"] == "flat",
                keep=said["limit"],
            )
        }


class QuestionsInput(Input):
    """Many items at once, answered as one list in the same order."""

    items = many(QuestionInput, 1, MOST_ITEMS)


class CheckOutput(serializers.Serializer[Any]):
    trait = serializers.CharField()
    name = serializers.CharField()
    bits = serializers.IntegerField(help_text="What a look is expected to tell, in ten-thousandths of a bit.")
    place = serializers.CharField()
    how_to_inspect = serializers.CharField()
    in_pack = serializers.BooleanField(help_text="It is seen in the blister or box.")
    needs = serializers.ListField(child=serializers.CharField(), help_text="What must be at hand.")


class CandidateOutput(serializers.Serializer[Any]):
    variant = serializers.CharField()
    title = serializers.CharField()
    standing = serializers.CharField()
    release = serializers.CharField()
    release_name = serializers.CharField()
    probability = serializers.IntegerField(help_text=TEN_THOUSANDTHS)
    against = serializers.ListField(child=serializers.CharField())
    neither = serializers.ListField(child=serializers.CharField())

    def get_fields(self) -> dict[str, Any]:
        """`for` is a word of the language, so it cannot be declared like the others."""
        sentences = serializers.ListField(child=serializers.CharField(), help_text="Sentences.")
        return {**super().get_fields(), "for": sentences}


class NotListedOutput(serializers.Serializer[Any]):
    probability = serializers.IntegerField(help_text=TEN_THOUSANDTHS)
    is_likeliest = serializers.BooleanField(
        help_text="Likelier than each listed variant: it may be a new one."
    )


class AdviceOutput(serializers.Serializer[Any]):
    reason = serializers.ChoiceField(["go_on", "nothing_left", "settled", "little_to_gain"])
    words = serializers.CharField()
    later = serializers.CharField(allow_null=True, help_text="What to look at once more is at hand.")
    missing = serializers.ListField(child=serializers.CharField(), help_text="What that needs.")


class AnswerOutput(serializers.Serializer[Any]):
    variants = serializers.IntegerField(help_text="How many it may be.")
    fitting = serializers.IntegerField(help_text="How many have nothing speaking against them.")
    summary = serializers.CharField()
    ranking = CandidateOutput(many=True)
    not_listed = NotListedOutput()
    next_check = CheckOutput(allow_null=True)
    checks = CheckOutput(many=True)
    advice = AdviceOutput()
    tells_nothing = serializers.ListField(
        child=serializers.CharField(), help_text="Details observed of which no variant here is known."
    )


class StateToSeeOutput(serializers.Serializer[Any]):
    state = serializers.CharField()
    name = serializers.CharField()


class CheckToMakeOutput(serializers.Serializer[Any]):
    trait = serializers.CharField()
    name = serializers.CharField()
    place = serializers.CharField()
    how_to_inspect = serializers.CharField()
    in_pack = serializers.BooleanField()
    states = StateToSeeOutput(many=True)


class AlikeOutput(serializers.Serializer[Any]):
    variants = serializers.ListField(child=serializers.CharField())
    words = serializers.CharField()
    would_tell = serializers.ListField(
        child=serializers.CharField(), help_text="Details that tell them apart, but are not seen in the pack."
    )
    might_tell = serializers.ListField(
        child=serializers.CharField(), help_text="Details that might, once known on both."
    )


class MinimalOutput(serializers.Serializer[Any]):
    in_pack = serializers.BooleanField()
    variant = serializers.CharField(allow_null=True)
    variants = serializers.IntegerField()
    checks = CheckToMakeOutput(many=True)
    is_smallest = serializers.BooleanField(help_text="Proved: no fewer details do.")
    no_fewer_than = serializers.IntegerField()
    alike_count = serializers.IntegerField(help_text="Pairs that stay alike.")
    alike = AlikeOutput(many=True, help_text="The first 50 of them.")
