"""The requester's own account and tokens; editions and search hits."""

from __future__ import annotations

from typing import Any

from allauth.core import ratelimit
from rest_framework import serializers
from rest_framework.exceptions import Throttled

from registry.actions.erase import CREDITS
from registry.models import Token

from .shared import Input, Whole
from .shared import Line as Text


class Rows(serializers.ListField):
    child = serializers.DictField()


class MeOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    display_name = serializers.CharField()
    roles = serializers.SerializerMethodField()

    def get_roles(self, member: Any) -> list[str]:
        return sorted(member.roles)


class OwnDataOutput(serializers.Serializer[Any]):
    """Rows as they are kept, things named by public ids. New columns may appear."""

    format = serializers.CharField(help_text="`own-data/1`")
    account = serializers.DictField()
    addresses = Rows()
    roles = Rows()
    links = Rows()
    tokens = Rows()
    reports = Rows()
    claims = Rows()
    examples = Rows()
    photos = Rows()
    marks = Rows()
    measurements = Rows()
    gloss_readings = Rows()
    sightings = Rows()
    statements = Rows()
    votes = Rows()
    disputes = Rows()
    held_disputes = Rows()
    interests = Rows()
    control_answers = Rows()
    concerns = Rows()
    watches = Rows()
    cabinet = Rows()
    hunt = Rows()
    journal = Rows()


class EraseInput(Input):
    password = serializers.CharField(
        trim_whitespace=False, max_length=4096, help_text="The one you sign in with: a token is not enough."
    )
    credit = serializers.ChoiceField(
        CREDITS, default="uncredited", help_text="What stands beside your photographs: no name, or yours."
    )

    def validate_password(self, password: str) -> str:
        """As for signing in again, only so many may be tried in a minute."""
        request = self.context["request"]
        if not ratelimit.consume(request._request, action="reauthenticate", user=request.user):
            raise Throttled(60)
        if not request.user.check_password(password):
            raise serializers.ValidationError("This is not your password. Send the one you sign in with.")
        return password


class ErasedOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    erased_at = serializers.DateTimeField()


class TokenInput(Input):
    name = Text(60, help_text="What it is for.")
    scopes = serializers.ListField(
        child=serializers.ChoiceField(Token.Scope.choices), allow_empty=False, max_length=10
    )
    days = Whole(1, 365, required=False, help_text="How long it lasts; 90 where this is left out.")


class TokenOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    name = serializers.CharField()
    hint = serializers.CharField(help_text="Its first symbols.")
    scopes = serializers.ListField(child=serializers.CharField())
    created_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True, help_text="To the hour.")
    revoked_at = serializers.DateTimeField(allow_null=True)
    secret = serializers.CharField(
        required=False, help_text="Only in the answer that makes it, and there but once."
    )


class EditionOutput(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    issued = serializers.DateTimeField(source="issued_at")
    count = serializers.IntegerField()
    sha256 = serializers.CharField(source="digest", help_text="Of edition.json.")
    previous = serializers.IntegerField(source="previous.number", allow_null=True, default=None)
    policy = serializers.IntegerField(source="policy.version")


class EditionFileOutput(serializers.Serializer[Any]):
    path = serializers.CharField(help_text="Beside this document.")
    sha256 = serializers.CharField(help_text="Of the unpacked bytes.")
    bytes = serializers.IntegerField()


class EditionBeforeOutput(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    sha256 = serializers.CharField()


class EditionDocumentOutput(serializers.Serializer[Any]):
    """edition.json, byte for byte as published."""

    format = serializers.CharField()
    number = serializers.IntegerField()
    issued = serializers.CharField()
    policy = serializers.DictField(child=serializers.IntegerField())
    count = serializers.IntegerField()
    changed = serializers.IntegerField()
    founding = serializers.IntegerField(
        required=False,
        help_text="Records that stand by the founding policy. Absent from the oldest editions.",
    )
    digest = serializers.CharField()
    files = serializers.DictField(child=EditionFileOutput())
    licence = serializers.DictField(child=serializers.CharField())
    fit = EditionBeforeOutput(
        required=False,
        help_text="The rates by which votes weighed; see /v1/fits. Absent before the first was adopted.",
    )
    attribution = serializers.CharField()
    notice = serializers.CharField()
    previous = EditionBeforeOutput(required=False)


class HitOutput(serializers.Serializer[Any]):
    kind = serializers.CharField()
    id = serializers.CharField(source="public_id")
    title = serializers.CharField()
    hint = serializers.CharField(help_text="What tells it from its namesakes.")
    address = serializers.SerializerMethodField()

    def get_address(self, entry: Any) -> str:
        return f"/v1/{entry.kind}s/{entry.public_id}"


class HitsOutput(serializers.Serializer[Any]):
    results = HitOutput(many=True)
    next = serializers.CharField(allow_null=True)
