"""Makers, lines, castings, releases, assortments, packs and when they could be bought, as answers."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from .fits import AgreementOutput
from .shared import IdOutput


class MakerOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    name = serializers.CharField()


class LineOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    maker = IdOutput()
    name = serializers.CharField()
    scale = serializers.IntegerField(help_text="The n of 1:n.")


class CastingOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    maker = IdOutput()
    name = serializers.CharField()
    what = serializers.CharField(help_text="What it is, in words.")
    nicknames = serializers.ListField(child=serializers.CharField())
    subject = serializers.CharField(help_text="The full-size subject, where there is one.")
    wheelbase_um = serializers.IntegerField(allow_null=True, help_text="Micrometres, on the model.")
    acceptance = serializers.CharField()


class AvailabilityOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    region = serializers.CharField()
    kind = serializers.CharField()
    on = serializers.DateField()
    source = serializers.CharField()  # type: ignore[assignment]


class DriftOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    trait = IdOutput()
    low = serializers.IntegerField(allow_null=True)
    high = serializers.IntegerField(allow_null=True)
    unit = serializers.CharField()
    note = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]


class ReleaseOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    maker = IdOutput("casting.maker")
    casting = IdOutput()
    line = IdOutput()
    name = serializers.CharField()
    number = serializers.CharField()
    year = serializers.IntegerField()
    livery = serializers.CharField()
    nicknames = serializers.ListField(child=serializers.CharField())
    reissue_of = IdOutput(allow_null=True)
    assortments = serializers.ListField(child=IdOutput(), source="assortments.all")
    packs = serializers.ListField(child=IdOutput(), source="packs.all")
    availability = AvailabilityOutput(many=True)
    drifts = DriftOutput(many=True, help_text="Normal ranges: what is not a change.")
    founding = serializers.BooleanField(source="is_founding", help_text="Judged with the founding policy.")
    eligible_reviewers = serializers.IntegerField()
    sealed_unobtainable = serializers.BooleanField()
    acceptance = serializers.CharField()


class AssortmentItemOutput(serializers.Serializer[Any]):
    release = IdOutput()
    per_case = serializers.IntegerField(allow_null=True)


class CaseContentOutput(serializers.Serializer[Any]):
    variant = IdOutput()
    per_case = serializers.IntegerField()
    source = serializers.CharField()  # type: ignore[assignment]


class AssortmentOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    line = IdOutput()
    name = serializers.CharField()
    case_code = serializers.CharField()
    opens_on = serializers.DateField(allow_null=True)
    closes_on = serializers.DateField(allow_null=True)
    case_count = serializers.IntegerField(allow_null=True)
    items = AssortmentItemOutput(many=True)
    case_contents = CaseContentOutput(
        many=True, help_text="How many of single variants one case holds, where a source says so."
    )


class PackContentOutput(serializers.Serializer[Any]):
    release = IdOutput()
    count = serializers.IntegerField()


class PackVersionOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    name = serializers.CharField()
    card_art = serializers.CharField()
    language = serializers.CharField()
    blister = serializers.CharField()
    insert = serializers.CharField()
    codes = serializers.CharField()


class PackOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    line = IdOutput()
    name = serializers.CharField()
    kind = serializers.CharField()
    gtin = serializers.CharField(help_text="14 digits, or empty. It may cover a whole assortment.")
    is_sealed = serializers.BooleanField()
    is_see_through = serializers.BooleanField()
    contents = PackContentOutput(many=True)
    versions = PackVersionOutput(many=True)
    availability = AvailabilityOutput(many=True)
    acceptance = serializers.CharField()


class TraitOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    key = serializers.CharField(help_text="Never changes; it names the trait in records and filters.")
    name = serializers.CharField()
    nicknames = serializers.ListField(child=serializers.CharField())
    line = IdOutput(allow_null=True)
    casting = IdOutput(allow_null=True)
    place = serializers.CharField()
    kind = serializers.CharField()
    how_to_inspect = serializers.CharField()
    seen_in_pack = serializers.BooleanField()
    alterable = serializers.BooleanField()
    acceptance = serializers.CharField()


class TraitRecordOutput(TraitOutput):
    agreement = serializers.SerializerMethodField()

    @extend_schema_field(AgreementOutput(allow_null=True))
    def get_agreement(self, trait: Any) -> Any:
        """How far reviewers agree on it, by the fit in force; null where fewer than two voted on any one claim."""
        found = trait.in_force[0] if trait.in_force else None
        return found and AgreementOutput(found).data


class StateOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    trait = IdOutput()
    key = serializers.CharField(help_text="Never changes; it names the state in records and filters.")
    name = serializers.CharField()
    nicknames = serializers.ListField(child=serializers.CharField())
    is_built_in = serializers.BooleanField()
    is_absence = serializers.BooleanField()
    lab_l = serializers.IntegerField(allow_null=True, help_text="CIELAB under D50, in hundredths.")
    lab_a = serializers.IntegerField(allow_null=True)
    lab_b = serializers.IntegerField(allow_null=True)
    lab_tolerance = serializers.IntegerField(allow_null=True, help_text="CIEDE2000, in hundredths.")
    number = serializers.IntegerField(allow_null=True)
    number_tolerance = serializers.IntegerField(allow_null=True)
    unit = serializers.CharField()
    acceptance = serializers.CharField()


class AdoptionOutput(serializers.Serializer[Any]):
    """A trait as a release takes it up, with the states it may have."""

    trait = TraitOutput()
    place = serializers.SerializerMethodField()
    note = serializers.CharField()
    seen_in_pack = serializers.BooleanField(source="is_seen_in_pack")
    states = StateOutput(many=True, source="trait.states.all")

    def get_place(self, adoption: Any) -> str:
        return str(adoption.place or adoption.trait.place)


class ReleaseStateOutput(serializers.Serializer[Any]):
    """What belongs to a state in one release."""

    state = IdOutput()
    sample = serializers.CharField(source="sample.public_id", allow_null=True, default=None)
    fidelity = serializers.CharField()
    subject = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
