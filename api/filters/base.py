"""What all filters keep to: a value that cannot be used is refused, never ignored."""

from __future__ import annotations

from datetime import UTC
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django_filters.fields import IsoDateTimeField

from registry.methods.identifiers import parse_id
from registry.queries import search

from ..parameters import out_of_range

LONGEST_TEXT = 100


class IdField(forms.CharField):
    """A public id, however it is spelled."""

    def clean(self, value: Any) -> str:
        try:
            return parse_id(value) if value else ""
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from None


class IdFilter(django_filters.CharFilter):
    field_class = IdField
    schema: dict[str, Any] = {"type": "string", "example": "4k7d9xwpm2cx"}

    def __init__(self, noun: str, path: str) -> None:
        super().__init__(field_name=f"{path}__public_id", label=f"Id of a {noun}.")


class WordFilter(django_filters.ChoiceFilter):
    """One word of a closed list."""

    def __init__(self, words: Any, column: str, label: str) -> None:
        super().__init__(field_name=column, choices=words, label=label)
        self.schema = {"type": "string", "enum": [word for word, _ in words]}


class KeyFilter(django_filters.CharFilter):
    """An immutable key of a trait or state."""

    schema: dict[str, Any] = {"type": "string", "maxLength": 40}

    def __init__(self, label: str) -> None:
        super().__init__(field_name="key", max_length=40, label=label)


class MomentField(IsoDateTimeField):
    """A moment that exists in UTC too."""

    def clean(self, value: Any) -> Any:
        moment = super().clean(value)
        try:
            return moment and moment.astimezone(UTC)
        except OverflowError:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid") from None


class MomentFilter(django_filters.IsoDateTimeFilter):
    field_class = MomentField
    schema: dict[str, Any] = {"type": "string", "format": "date-time"}


class DayFilter(django_filters.DateFilter):
    schema: dict[str, Any] = {"type": "string", "format": "date"}


class TextFilter(django_filters.CharFilter):
    """Words, in any order, as /v1/search finds them."""

    def __init__(self, kind: str) -> None:
        self.schema = {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT}
        self.kind = kind
        super().__init__(max_length=LONGEST_TEXT, label="Words of its name, nicknames or number.")

    def filter(self, qs: QuerySet[Any], value: str) -> QuerySet[Any]:
        return search.matching(qs, self.kind, value) if value else qs


class Filters(django_filters.FilterSet):
    """Errors: `parameter-out-of-range` names the first parameter whose value cannot be used."""

    repeatable_prefix: str | None = None

    def kept(self) -> QuerySet[Any]:
        """The rows that pass."""
        for name, value in self.data.items():
            if name in self.filters and (not value.strip() or "\x00" in value):
                raise out_of_range(name, value, "Give a value, or leave the parameter out.")
        for name, faults in self.form.errors.items():
            raise out_of_range(name, self.data.get(name, ""), str(faults[0]))
        return self.filter_queryset(self.queryset)

    @classmethod
    def schema_parameters(cls) -> list[dict[str, Any]]:
        """The parameters as the API's document describes them."""
        return [
            {
                "name": name,
                "in": "query",
                "required": False,
                "description": str(one.label or ""),
                "schema": getattr(one, "schema", {"type": "string"}),
            }
            for name, one in cls.base_filters.items()
        ]
