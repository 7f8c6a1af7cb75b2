"""Statements of order, and the patterns by which a line's codes are read."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.models import CodeDates, CodePattern, Release, SourceKind, Statement, StatementKind, Variant
from registry.queries.statements import is_decided

from .shared import IdOutput, Input, ReferenceField, Whole
from .shared import Line as Text


class StatementInput(Input):
    release = ReferenceField(Release.objects.all)
    kind = serializers.ChoiceField(StatementKind.choices)
    variant = ReferenceField(Variant.objects.all)
    other = ReferenceField(Variant.objects.all, required=False, allow_null=True)
    on = serializers.DateField(required=False, allow_null=True)
    code = Text(40, required=False, help_text="Of the kind coded: as it stands on the item.")
    code_pattern = ReferenceField(
        CodePattern.objects.all, required=False, allow_null=True, help_text="From /v1/lines/{id}/codes."
    )
    source_kind = serializers.ChoiceField(SourceKind.choices)
    source = Text(200)  # type: ignore[assignment]


class StatementOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    release = IdOutput()
    kind = serializers.CharField()
    variant = IdOutput()
    other = IdOutput(allow_null=True)
    on = serializers.DateField(allow_null=True, help_text="The date; of a code, the first day it can mean.")
    until = serializers.DateField(allow_null=True, help_text="Of a code: the last day it can mean.")
    code = serializers.CharField()
    code_pattern = serializers.CharField(source="code_pattern.public_id", allow_null=True, default=None)
    dates = serializers.CharField(
        source="code_pattern.dates", allow_null=True, default=None, help_text="What the code dates."
    )
    source_kind = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    author = IdOutput()
    added_at = serializers.DateTimeField()
    closed_at = serializers.DateTimeField(allow_null=True)
    standing = serializers.CharField()
    posterior = serializers.SerializerMethodField(
        help_text="Probability that it holds, given the votes that count, in ten-thousandths; null while undecided."
    )
    founding = serializers.BooleanField(source="is_founding")
    missing = serializers.ListField(
        child=serializers.CharField(), help_text="What still keeps it from being confirmed."
    )

    def get_posterior(self, statement: Statement) -> int | None:
        is_blind = statement.closed_at is None and not is_decided(statement)  # votes are
        return None if is_blind else round(10_000 * statement.posterior)


class CodePatternInput(Input):
    name = Text(80, help_text="Where the code stands.")
    template = Text(
        40, help_text="Fields in braces, such as {Y}{ww}; /lines/{id}/codes on the site lists them."
    )
    dates = serializers.ChoiceField(CodeDates.choices)
    first_year = Whole(1900, 2200)
    margin_days = Whole(0, 366, required=False, default=0)
    source = Text(200)  # type: ignore[assignment]


class CodePatternOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    name = serializers.CharField()
    template = serializers.CharField()
    dates = serializers.CharField(help_text="moulding, printing or packing.")
    precision = serializers.CharField(source="pattern.precision")
    first_year = serializers.IntegerField()
    margin_days = serializers.IntegerField()
    source = serializers.CharField()  # type: ignore[assignment]
    added_by = IdOutput()
    added_at = serializers.DateTimeField()
