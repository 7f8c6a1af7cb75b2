"""Shapes that several nouns share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from registry.methods.identifiers import parse_id


class Input(serializers.Serializer[Any]):
    """A body that may hold the named keys and no others."""

    default_error_messages = {"unknown": "This key is not known here. Known: {known}."}

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, dict):
            if unknown := [key for key in data if key not in self.fields]:
                said = self.error_messages["unknown"].format(known=", ".join(self.fields))
                raise serializers.ValidationError(
                    {str(key)[:40]: serializers.ErrorDetail(said, code="unknown-key") for key in unknown[:5]}
                )
        return super().to_internal_value(data)


class Nothing(Input):
    """An empty object."""


class IdOutput(serializers.CharField):
    """The public id of the record at `source`, the survivor's where it was merged."""

    def __init__(self, source: str | None = None, **kwargs: Any) -> None:
        super().__init__(source=source, **kwargs)

    def to_representation(self, value: Any) -> str:
        return str(getattr(value, "survivor", value).public_id)


@extend_schema_field({"type": "string", "example": "4k7d9xwpm2cx"})
class ReferenceField(serializers.Field[Any, Any, Any, Any]):
    """An id, read as the row it names, or as the one that it was merged into.

    `rows` gives those that may be named, `own` the column of their owner; without `follows` the row itself is read.
    """

    default_error_messages = {
        "unknown-reference": "{value} names no {noun} here. Look it up at /v1/search.",
        "malformed-reference": "{fault}",
    }

    def __init__(
        self, rows: Callable[[], QuerySet[Any]], own: str = "", follows: bool = True, **kwargs: Any
    ) -> None:
        self.rows, self.own, self.follows = rows, own, follows
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, str):
            raise self.error("malformed-reference", fault="Send an id, as text.")
        try:
            public_id = parse_id(data)
        except ValueError as fault:
            raise self.error("malformed-reference", fault=fault) from None
        rows = self.namable()
        row = rows.filter(public_id=public_id).first()
        if row is None:
            raise self.error("unknown-reference", value=public_id, noun=rows.model._meta.verbose_name)
        return getattr(row, "survivor", row) if self.follows else row

    def namable(self) -> QuerySet[Any]:
        """The rows that the requester may name; any other is as good as none."""
        return self.rows().filter(**{self.own: self.context["request"].user}) if self.own else self.rows()

    def error(self, code: str, **facts: Any) -> serializers.ValidationError:
        said = self.error_messages[code].format(**facts)
        return serializers.ValidationError(said, code=code)

    def to_representation(self, value: Any) -> str:
        return str(value.public_id)


class Whole(serializers.IntegerField):
    """A whole number that every database holds; true is not one."""

    def __init__(self, least: int = 0, most: int = 2**31 - 1, **kwargs: Any) -> None:
        super().__init__(min_value=least, max_value=most, **kwargs)

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return super().to_internal_value(data)


class Line(serializers.CharField):
    """One line of text. Its length and symbols are checked where it is kept."""

    def __init__(self, most: int, **kwargs: Any) -> None:
        kwargs.setdefault("allow_blank", not kwargs.get("required", True))
        super().__init__(max_length=most, **kwargs)

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


def many(of: type[Input], least: int, most: int, **kwargs: Any) -> serializers.ListSerializer[Any]:
    """A list of objects of one shape."""
    return serializers.ListSerializer(child=of(), min_length=least, max_length=most, **kwargs)


def names(**kwargs: Any) -> serializers.ListField:
    """A short list of nicknames."""
    return serializers.ListField(child=Line(80), max_length=12, **kwargs)


class ReasonInput(Input):
    reason = Line(500, help_text="Why, in plain words; kept with the record.")
