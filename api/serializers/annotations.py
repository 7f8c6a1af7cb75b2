"""Marks as W3C Web Annotations."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers


class AnnotationOutput(serializers.Serializer[Any]):
    """A mark in the words of the W3C Web Annotation Data Model."""

    id = serializers.CharField()
    type = serializers.CharField(help_text="Annotation")
    motivation = serializers.CharField()
    created = serializers.DateTimeField()
    creator = serializers.DictField(
        required=False, help_text="`nickname` is the public id; left out once erased."
    )
    rights = serializers.CharField(help_text="Of what is said; the picture's own stand beside it.")
    body = serializers.ListField(
        child=serializers.DictField(),
        help_text="The words, the claim, its state, and a note where there is one.",
    )
    target = serializers.DictField(help_text="`source`: the picture; `selector`: a Media Fragment of it.")

    def get_fields(self) -> dict[str, Any]:
        return {"@context": serializers.CharField(), **super().get_fields()}


class AnnotationPageOutput(serializers.Serializer[Any]):
    """A page of annotations, without `next` where it is the last."""

    id = serializers.CharField()
    type = serializers.CharField(help_text="AnnotationPage")
    partOf = serializers.DictField()
    items = serializers.ListField(child=serializers.DictField(), help_text="Annotations.")
    next = serializers.CharField(required=False)

    def get_fields(self) -> dict[str, Any]:
        return {"@context": serializers.CharField(), **super().get_fields()}
