"""Opened drafts and what others remark on their pictures."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from registry.models import Photo, State, Submission

from .evidence import PhotoFiles
from .shared import IdOutput, Input, Line, ReferenceField


class OpenedPhotoOutput(PhotoFiles, serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    width = serializers.IntegerField()
    height = serializers.IntegerField()
    licence = serializers.CharField()
    credit = serializers.CharField(source="owner.credit", help_text="Whom to name beside it.")
    files = serializers.SerializerMethodField(
        help_text="Addresses: the whole picture, and within 800 or 320 pixels. They may be closed again: keep none."
    )


class OpenedDraftOutput(serializers.Serializer[Any]):
    """What its author shows of a draft and asks others. It is no evidence."""

    id = serializers.CharField(source="public_id")
    author = IdOutput()
    casting = IdOutput(allow_null=True)
    release = IdOutput(allow_null=True)
    question = serializers.CharField()
    opened_at = serializers.DateTimeField()
    photos = OpenedPhotoOutput(many=True, source="pictures")
    remarks = serializers.IntegerField(help_text="How many there are.")


def opened_photos() -> Any:
    return Photo.objects.shown().filter(submission__in=Submission.objects.opened())


class RemarkInput(Input):
    photo = ReferenceField(opened_photos, help_text="One of the opened draft's.")
    xywh = Line(80, help_text="percent:left,top,width,height")
    state = ReferenceField(State.objects.all, required=False, help_text="Of a detail of the draft's release.")
    sentence = Line(200, required=False, help_text="Beside a state, or instead of one.")


class RemarkOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    draft = serializers.CharField(source="photo.submission.public_id")
    photo = serializers.CharField(source="photo.public_id")
    xywh = serializers.SerializerMethodField(help_text="Media Fragments URI 1.0: xywh=percent:…")
    state = IdOutput(allow_null=True)
    sentence = serializers.CharField()
    by = serializers.CharField(source="by.public_id")
    at = serializers.DateTimeField()

    def get_xywh(self, remark: Any) -> str:
        return f"xywh={remark.fragment}"
