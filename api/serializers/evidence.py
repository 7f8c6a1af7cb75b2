"""Submissions, examples, photos and marks."""

from __future__ import annotations

from typing import Any

from django.core.files.storage import default_storage
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from registry.methods.photo_quality import ADVICE
from registry.models import (
    Casting,
    Cause,
    Claim,
    Condition,
    Dispute,
    Example,
    Licence,
    LikenessKind,
    PackKind,
    Photo,
    Place,
    Release,
    Scope,
    Sighting,
    Submission,
    TraitKind,
    Variant,
    View,
)
from registry.queries.likenesses import alike

from ..visibility import visible_photos
from .colours import ChartOutput, ColourOutput
from .shared import IdOutput, Input, ReferenceField, Whole, many, names
from .shared import Line as Text

DAY = r"^\d{4}-(0[1-9]|1[0-2])-\d{2}$"
MONTH = r"^\d{4}-(0[1-9]|1[0-2])$"
SIZES = ("full", "800", "320")


def id_or_ref(**kwargs: Any) -> Text:
    return Text(60, help_text="An id, or `ref:…` for something that the same report proposes.", **kwargs)


class SaidClaimInput(Input):
    trait = id_or_ref()
    state = id_or_ref()
    kind = serializers.ChoiceField(["difference", "alike", "stated"], required=False)
    base_state = id_or_ref(required=False)


class SaidExampleInput(Input):
    ref = Text(40)
    mine = serializers.BooleanField(required=False)
    condition = serializers.ChoiceField(Condition.choices)
    found_case = Text(40, required=False)
    found_shop = Text(60, required=False)
    found_month = serializers.RegexField(MONTH, required=False, help_text="YYYY-MM")
    country = Text(2, required=False)
    region = Text(60, required=False)


class SaidPhotoInput(Input):
    photo = Text(40)
    examples = serializers.ListField(child=id_or_ref(), max_length=20, required=False)
    views = serializers.ListField(child=serializers.ChoiceField(View.choices), max_length=20, required=False)


class SaidMarkInput(Input):
    photo = Text(40)
    example = id_or_ref()
    trait = id_or_ref()
    xywh = Text(80, help_text="percent:left,top,width,height")
    of = serializers.ChoiceField(["variant", "base"], required=False)


class SaidSightingInput(Input):
    scope = serializers.ChoiceField(Scope.choices)
    seen_on = serializers.RegexField(DAY, help_text="YYYY-MM-DD")
    n = Whole(1, 100_000, required=False)
    condition = serializers.ChoiceField(Condition.choices, required=False)
    country = Text(2, required=False)
    region = Text(60, required=False)


class ProposedCastingInput(Input):
    maker = Text(40)
    name = Text(80)
    what = Text(80, required=False)
    is_new = serializers.BooleanField(required=False)


class ProposedReleaseInput(Input):
    line = Text(40)
    casting = id_or_ref(required=False)
    name = Text(120)
    number = Text(40, required=False)
    year = Whole(1900, 2200)
    livery = Text(120, required=False)
    is_new = serializers.BooleanField(required=False)


class ProposedTraitInput(Input):
    ref = Text(40)
    name = Text(80)
    place = serializers.ChoiceField(Place.choices)
    kind = serializers.ChoiceField([choice for choice in TraitKind.choices if choice[0] != TraitKind.CAUSE])
    how_to_inspect = Text(300, required=False)
    seen_in_pack = serializers.BooleanField(required=False)
    alterable = serializers.BooleanField(required=False)
    is_new = serializers.BooleanField(required=False)


class ProposedStateInput(Input):
    ref = Text(40)
    trait = id_or_ref()
    name = Text(80)
    is_absence = serializers.BooleanField(required=False)
    is_new = serializers.BooleanField(required=False)


class ProposedPackInput(Input):
    name = Text(120)
    kind = serializers.ChoiceField(PackKind.choices)
    gtin = Text(20, required=False)
    is_sealed = serializers.BooleanField(required=False)
    is_see_through = serializers.BooleanField(required=False)
    is_new = serializers.BooleanField(required=False)


class ProposalsInput(Input):
    casting = ProposedCastingInput(required=False)
    release = ProposedReleaseInput(required=False)
    traits = many(ProposedTraitInput, 0, 200, required=False)
    states = many(ProposedStateInput, 0, 200, required=False)
    pack = ProposedPackInput(required=False)


class ContentInput(Input):
    """What a report says. A draft may say as little as it likes; sending checks the rest."""

    title = Text(120, required=False)
    nicknames = names(required=False)
    note = Text(500, required=False)
    noticed_in = Text(200, required=False, help_text="Where it was published first, if it was.")
    cause = serializers.ChoiceField(
        [choice for choice in Cause.choices if choice[0] != Cause.BASELINE] + [("not_known", "not known")],
        required=False,
    )
    claims = many(SaidClaimInput, 0, 200, required=False)
    examples = many(SaidExampleInput, 0, 200, required=False)
    photos = many(SaidPhotoInput, 0, 200, required=False)
    marks = many(SaidMarkInput, 0, 200, required=False)
    sightings = many(
        SaidSightingInput,
        0,
        200,
        required=False,
        help_text="Where else it was seen; each is kept on sending.",
    )
    proposes = ProposalsInput(required=False)


class SubmissionInput(Input):
    casting = ReferenceField(Casting.objects.all, required=False, allow_null=True)
    release = ReferenceField(Release.objects.all, required=False, allow_null=True)
    variant = ReferenceField(
        Variant.objects.all, required=False, allow_null=True, help_text="For a report on a known variant."
    )
    differs_from = ReferenceField(Variant.objects.all, required=False, allow_null=True)
    content = ContentInput(required=False)


class SubmissionOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    status = serializers.CharField()
    casting = IdOutput(allow_null=True)
    release = IdOutput(allow_null=True)
    variant = IdOutput(allow_null=True)
    differs_from = serializers.CharField(source="differs_from.public_id", allow_null=True, default=None)
    content = serializers.DictField()
    revision = serializers.IntegerField()
    created_at = serializers.DateTimeField()
    changed_at = serializers.DateTimeField()
    sent_at = serializers.DateTimeField(allow_null=True)
    opened_at = serializers.DateTimeField(
        allow_null=True, help_text="Since when others see the draft's pictures and its note."
    )
    is_closed = serializers.BooleanField(
        help_text="By a moderator, while it was open; its page says why. As it was it is not opened again."
    )


class ExampleInput(Input):
    release = ReferenceField(Release.objects.all)
    mine = serializers.BooleanField(required=False, default=True)
    condition = serializers.ChoiceField(Condition.choices)
    found_case = Text(40, required=False)
    found_shop = Text(60, required=False)
    found_month = serializers.RegexField(MONTH, required=False, help_text="YYYY-MM")
    country = Text(2, required=False)
    region = Text(60, required=False)


class ExampleOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    release = IdOutput()
    owner = serializers.CharField(source="owner.public_id", allow_null=True, default=None)
    condition = serializers.CharField()
    found_case = serializers.CharField()
    found_shop = serializers.CharField()
    found_month = serializers.DateField(format="%Y-%m", allow_null=True)
    country = serializers.CharField()
    region = serializers.CharField()
    added_at = serializers.DateTimeField()


def edited() -> serializers.BooleanField:
    return serializers.BooleanField(
        required=False, help_text="More was changed than size, frame and overall light."
    )


class PhotoInput(Input):
    """With a multipart form the picture is the part `data`; else it is the body and the rest stands in the address."""

    submission = ReferenceField(Submission.objects.all, required=False, own="author")
    dispute = ReferenceField(Dispute.objects.all, required=False)
    sighting = ReferenceField(Sighting.objects.all, required=False, own="by")
    examples = serializers.ListField(child=ReferenceField(Example.objects.all), max_length=20, required=False)
    views = serializers.ListField(child=serializers.ChoiceField(View.choices), max_length=20, required=False)
    caption = Text(200, required=False)
    licence = serializers.ChoiceField(Licence.choices, required=False)
    is_edited = edited()


class CodeSeenInput(Input):
    code = Text(20, help_text="As you read it on the paper in the picture.")


class ShotCodeOutput(serializers.Serializer[Any]):
    code = serializers.CharField(source="__str__", help_text="To be written on paper in the picture.")
    issued_at = serializers.DateTimeField()
    good_until = serializers.DateTimeField()


class PhotoFormInput(PhotoInput):
    data = serializers.FileField()  # type: ignore[assignment]


class PhotoDescription(Input):
    examples = serializers.ListField(child=ReferenceField(Example.objects.all), max_length=20, required=False)
    views = serializers.ListField(child=serializers.ChoiceField(View.choices), max_length=20, required=False)
    caption = Text(200, required=False)
    is_edited = edited()


class PhotoRestoreInput(Input):
    reason = Text(300)
    data = serializers.FileField(required=False)  # type: ignore[assignment]


class PhotoAdviceOutput(serializers.Serializer[Any]):
    code = serializers.ChoiceField(sorted(ADVICE))
    text = serializers.CharField()


class QualityOutput(serializers.Serializer[Any]):
    """How fit a picture is to be evidence. It only advises."""

    sharpness = serializers.IntegerField(help_text="0 to 100, of the sharpest ninth of the picture.")
    exposure = serializers.IntegerField(help_text="Mean luma, 0 to 255.")
    dark = serializers.IntegerField(help_text="Thousandths of the picture lost in the dark.")
    burnt = serializers.IntegerField(help_text="Thousandths of the picture burnt out to white.")
    advice = serializers.SerializerMethodField(help_text="What its owner might mend, the gravest first.")

    @extend_schema_field(PhotoAdviceOutput(many=True))
    def get_advice(self, quality: dict[str, Any]) -> list[dict[str, str]]:
        return [{"code": code, "text": ADVICE[code]} for code in quality["advice"]]


class PhotoFilesOutput(serializers.Serializer[Any]):
    full = serializers.CharField()
    px800 = serializers.CharField()
    px320 = serializers.CharField()


class PhotoFiles:
    """What tells where a photo's files are."""

    def get_files(self, photo: Photo) -> PhotoFilesOutput:
        full, px800, px320 = (default_storage.url(photo.stored_as(size)) for size in SIZES)
        return {"full": full, "px800": px800, "px320": px320}  # type: ignore[return-value]


class LikenessOutput(serializers.Serializer[Any]):
    photo = IdOutput(help_text="The other photo.")
    kind = serializers.ChoiceField(LikenessKind.choices)
    distance = serializers.IntegerField(
        help_text="Bits of 64 in which the perceptual hashes differ; at most 8."
    )
    is_earlier = serializers.BooleanField(help_text="The other photo could be seen first.")
    is_same_owner = serializers.BooleanField()


class PhotoOutput(PhotoFiles, serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    owner = IdOutput()
    submission = serializers.CharField(source="submission.public_id", allow_null=True, default=None)
    dispute = serializers.CharField(source="dispute.public_id", allow_null=True, default=None)
    sighting = serializers.CharField(source="sighting.public_id", allow_null=True, default=None)
    examples = serializers.ListField(child=IdOutput(), source="examples.all")
    views = serializers.ListField(child=serializers.CharField())
    caption = serializers.CharField()
    sha256 = serializers.CharField(source="digest")
    width = serializers.IntegerField()
    height = serializers.IntegerField()
    size_bytes = serializers.IntegerField()
    licence = serializers.CharField()
    credit = serializers.CharField(source="owner.credit", help_text="Whom to name beside it.")
    quality = QualityOutput(allow_null=True)
    added_at = serializers.DateTimeField()
    is_edited = serializers.BooleanField(help_text="Its owner says so.")
    code_seen_by = serializers.IntegerField(help_text="Reviewers who saw the report's code in the picture.")
    likenesses = serializers.SerializerMethodField(
        help_text="Photos that it is the same file as or looks like; null for all but reviewers. A hint, no verdict."
    )
    files = serializers.SerializerMethodField(
        help_text="Addresses: the whole picture, and within 800 or 320 pixels."
    )
    chart = ChartOutput(
        source="chart_shown", allow_null=True, help_text="What its colours are measured by; null: nothing."
    )

    @extend_schema_field(LikenessOutput(many=True, allow_null=True))
    def get_likenesses(self, photo: Photo) -> Any:
        found = alike(photo)
        return None if found is None else LikenessOutput(found, many=True).data


class PhotoReference(ReferenceField):
    def namable(self) -> Any:
        return visible_photos(self.context["request"])


class MarkInput(Input):
    photo = PhotoReference(Photo.objects.all)
    example = ReferenceField(Example.objects.all)
    claim = ReferenceField(Claim.objects.all)
    xywh = Text(80, help_text="percent:left,top,width,height")
    note = Text(200, required=False)


class MarkOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    photo = serializers.CharField(source="photo.public_id")
    example = serializers.CharField(source="example.public_id")
    claim = serializers.CharField(source="claim.public_id")
    xywh = serializers.CharField(source="fragment", help_text="Media Fragments URI 1.0: xywh=percent:…")
    note = serializers.CharField()
    by = serializers.CharField(source="by.public_id")
    at = serializers.DateTimeField()
    colour = ColourOutput(
        source="told", allow_null=True, default=None, help_text="Null where the detail is not one of colour."
    )


class EvidenceOutput(PhotoOutput):
    """A photo with the regions that show claims of one variant."""

    marks = MarkOutput(many=True, source="marks_shown")
