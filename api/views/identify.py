"""Which one is it, and what tells the variants of a release apart."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, PolymorphicProxySerializer, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from registry.errors import InvalidField
from registry.methods.identify.wording import SENTENCES
from registry.models import Release
from registry.queries import identify as query
from registry.queries.identify import Scope

from ..parameters import out_of_range, public_id
from ..serializers.identify import AnswerOutput, MinimalOutput, QuestionInput, QuestionsInput
from ..throttles import AskThrottle
from .base import ApiView
from .rows import RowView

ITEMS_PER_COST = 10
ONE = {
    "scope": {"release": "4k7d9xwpm2cx"},
    "observed": {
        "front_wheels": {"state": "gold"},
        "roof_crest": {"states": ["anchor", "gull"]},
        "window_tint": {"not_sure": True},
        "base_text": {"not_visible": True},
        "wheelbase": {"value": 31200, "error": 150},
        "body": {"lab": [25.4, 17.1, -40.8], "error": 1.4},
    },
    "can": ["raking_light"],
    "prior": "flat",
}
MANY = {"items": [{"scope": {"gtin": "6291041500213"}, "observed": {"front_wheels": {"state": "silver"}}}]}
ANSWER = {
    "variants": 3,
    "fitting": 1,
    "summary": "One listed variant has all of this.",
    "ranking": [
        {
            "variant": "frp9m3x2pnzs",
            "title": "Gold front wheels",
            "standing": "verified",
            "release": "4k7d9xwpm2cx",
            "release_name": "Brinewagon (2024)",
            "probability": 9_120,
            "for": ["Front wheels, gold on this one: speaks for it."],
            "against": [],
            "neither": ["Roof crest, not known for this one: says little either way."],
        }
    ],
    "not_listed": {"probability": 410, "is_likeliest": False},
    "next_check": None,
    "checks": [],
    "advice": {"reason": "nothing_left", "words": SENTENCES["nothing_left"], "later": None, "missing": []},
    "tells_nothing": [],
}


class Identify(ApiView):
    changes_nothing = True
    throttle_classes = [AskThrottle]
    serializer_class = AnswerOutput

    def cost(self, request: Request) -> int:
        """One reading, and for a list one more with every ten items."""
        items = request.data.get("items") if isinstance(request.data, dict) else None
        return -(-len(items) // ITEMS_PER_COST) if isinstance(items, list) else 1

    @extend_schema(
        request=PolymorphicProxySerializer(
            component_name="Identify",
            serializers=[QuestionInput, QuestionsInput],
            resource_type_field_name=None,
        ),
        responses=PolymorphicProxySerializer(
            component_name="Identified",
            serializers=[AnswerOutput, AnswerOutput(many=True)],
            resource_type_field_name=None,
            many=False,
        ),
        examples=[
            OpenApiExample("One item, in its blister", value=ONE, request_only=True),
            OpenApiExample("Many items", value=MANY, request_only=True),
            OpenApiExample("What one item may be", value=ANSWER, response_only=True),
            OpenApiExample("What many may be, in their order", value=[ANSWER], response_only=True),
        ],
    )
    def post(self, request: Request) -> Response:
        """Rank the listed variants by what was seen, with the probability that it is none of them, and say what to
        look at next and when to stop. Nothing is kept: no account and no Idempotency-Key is needed. Observations that
        contradict each other are answered. `{"items": [...]}` asks for up to 1,000 items, and is answered with a list
        in the same order; every ten count as one request.
        """
        if isinstance(request.data, dict) and "items" in request.data:
            asked = QuestionsInput(data=request.data)
            asked.is_valid(raise_exception=True)
            return Response(query.answers([item["question"] for item in asked.validated_data["items"]]))
        one = QuestionInput(data=request.data)
        one.is_valid(raise_exception=True)
        return Response(query.answer(one.validated_data["question"]))


class Checks(RowView):
    serializer_class = MinimalOutput
    parameters = ("in_pack", "variant")

    def rows(self) -> Any:
        return Release.objects.select_related("merged_into")

    def get(self, request: Request, public_id: str) -> Response:
        """The fewest details that tell all variants of the release apart, or one variant from all others, and the
        pairs that they leave alike.
        """
        release = self.row(public_id)
        in_pack, variant = self.asked_for()
        known = query.known_in(Scope("release", release.public_id), [release.pk])
        try:
            return Response(query.checks_of(known, in_pack=in_pack, variant=variant))
        except InvalidField as refusal:
            raise out_of_range("variant", variant or "none", str(refusal)) from None

    def asked_for(self) -> tuple[bool, str | None]:
        said = self.request.query_params
        in_pack, variant = said.get("in_pack", "false"), said.get("variant")
        if in_pack not in ("true", "false"):
            raise out_of_range("in_pack", in_pack, "Choose true or false.")
        return in_pack == "true", None if variant is None else public_id("variant", variant)
