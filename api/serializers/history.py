"""A variant through time, as answers."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from .record import RevisionOutput


class DetailThenOutput(serializers.Serializer[Any]):
    """A claim as it stood."""

    claim = serializers.CharField(source="claim.public_id")
    trait_key = serializers.CharField(source="claim.trait.survivor.key")
    state_key = serializers.CharField(source="claim.state.survivor.key")
    standing = serializers.CharField()
    photos = serializers.SerializerMethodField(help_text="Ids of photos that showed it by a mark.")
    disputes = serializers.SerializerMethodField(help_text="Ids of disputes that were open on it.")

    def get_photos(self, one: Any) -> list[str]:
        return list(dict.fromkeys(mark.photo.public_id for mark in one.marks))

    def get_disputes(self, one: Any) -> list[str]:
        return [dispute.public_id for dispute in one.disputes]


class ThenOutput(RevisionOutput):
    """A revision, with where everything stood at a moment: that of its writing, unless one was asked for."""

    as_of = serializers.DateTimeField()
    standing = serializers.CharField()
    details = DetailThenOutput(many=True)


class PointOutput(serializers.Serializer[Any]):
    revision = serializers.IntegerField(source="revision.number")
    as_of = serializers.DateTimeField(source="at")
    standing = serializers.CharField()


class DifferenceOutput(serializers.Serializer[Any]):
    what = serializers.CharField(help_text="Title, Standing, Nicknames, or the name of a trait.")
    change = serializers.SerializerMethodField(help_text="added, removed or changed.")
    before = serializers.CharField()
    after = serializers.CharField()
    claim_before = serializers.CharField(source="claim_before.public_id", allow_null=True, default=None)
    claim_after = serializers.CharField(source="claim_after.public_id", allow_null=True, default=None)
    standing_before = serializers.CharField(source="before_standing", allow_blank=True)
    standing_after = serializers.CharField(source="after_standing", allow_blank=True)
    by = serializers.CharField(source="by.public_id", allow_null=True, default=None)
    why = serializers.CharField(allow_blank=True)
    photos = serializers.SerializerMethodField(help_text="Ids of photos that show the later state.")

    def get_change(self, one: Any) -> str:
        if one.claim_before is None and one.claim_after is not None:
            return "added"
        return "removed" if one.claim_before is not None and one.claim_after is None else "changed"

    def get_photos(self, one: Any) -> list[str]:
        return [photo.public_id for photo in one.photos]


class DifferencesOutput(serializers.Serializer[Any]):
    variant = serializers.CharField()
    before = PointOutput()
    after = PointOutput()
    differences = DifferenceOutput(many=True)


class ProvenanceOutput(serializers.Serializer[Any]):
    """JSON-LD 1.1 in the words of W3C PROV-O."""

    context = serializers.DictField(  # type: ignore[assignment]
        help_text="`@context`: prefixes."
    )
    graph = serializers.ListField(
        child=serializers.DictField(), help_text="`@graph`: entities, activities and agents."
    )

    def get_fields(self) -> dict[str, Any]:
        return {f"@{name}": field for name, field in super().get_fields().items()}
