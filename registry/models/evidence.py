"""What speaks for a claim: submissions, physical examples, photos and the regions marked on them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from registry.methods.photo_quality import ADVICE
from registry.sentences import Sentence

from .base import Identified, in_english, one_of
from .people import Member
from .variants import Claim


class SubmissionStatus(models.TextChoices):
    DRAFT = "draft", _("draft")
    SENT = "sent", _("sent")
    WITHDRAWN = "withdrawn", _("withdrawn")


class SubmissionQuerySet(models.QuerySet["Submission"]):
    def opened(self) -> SubmissionQuerySet:
        """Drafts whose authors show their pictures and a question to others, to be told what differs."""
        return self.filter(status=SubmissionStatus.DRAFT, opened_at__isnull=False)


class Submission(Identified):
    """A member's report. A draft needs only a casting and a photo; sending it makes or extends a variant.

    `content` is the draft as its author typed it (title, nicknames, claims, proposals); it is checked on sending.
    `revision` counts edits of the draft and is its ETag.
    """

    author = models.ForeignKey("registry.Member", models.PROTECT, related_name="submissions")
    status = models.CharField(max_length=9, choices=SubmissionStatus, default=SubmissionStatus.DRAFT)
    casting = models.ForeignKey(
        "registry.Casting", models.PROTECT, null=True, blank=True, related_name="submissions"
    )
    release = models.ForeignKey(
        "registry.Release", models.PROTECT, null=True, blank=True, related_name="submissions"
    )
    variant = models.ForeignKey(
        "registry.Variant",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="submissions",
        help_text="The variant reported on, or the one that sending made.",
    )
    differs_from = models.ForeignKey(
        "registry.Variant",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The known variant that the difference claims are measured against.",
    )
    content = models.JSONField(default=dict)
    revision = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(
        null=True,
        blank=True,
        help_text="Since when others see its pictures and question while it is a draft.",
    )
    question = models.CharField(max_length=200, blank=True, help_text="What was asked when it was opened.")
    closed_as = models.CharField(
        max_length=64,
        blank=True,
        help_text="Digest of what a moderator closed: as that it is not opened again. Blank otherwise.",
    )

    closed: Any = None
    """When and why a moderator closed it, where registry.queries.opened was asked."""

    objects = SubmissionQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("status", SubmissionStatus, "submission_status_known"),
            models.CheckConstraint(
                condition=~Q(status="sent")
                | Q(sent_at__isnull=False, variant__isnull=False, release__isnull=False),
                name="submission_sent_is_whole",
            ),
        ]
        indexes = [
            models.Index(fields=["author", "status", "id"], name="submission_own"),
            models.Index(
                fields=["opened_at", "id"],
                condition=Q(status="draft", opened_at__isnull=False),
                name="submission_opened",
            ),
        ]

    def __str__(self) -> str:
        return self.public_id

    @property
    def is_opened(self) -> bool:
        return self.status == SubmissionStatus.DRAFT and self.opened_at is not None

    @property
    def is_closed(self) -> bool:
        """By a moderator, while it was open to others."""
        return self.status == SubmissionStatus.DRAFT and self.closed_as != ""


class Condition(models.TextChoices):
    SEALED = "sealed", _("sealed")
    BOXED = "boxed", _("boxed")
    LOOSE = "loose", _("loose")


class Example(Identified):
    """One physical item. Everything said of it counts once. Where it was found is kept coarse on purpose."""

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="examples")
    owner = models.ForeignKey(
        "registry.Member",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="examples",
        help_text="Null: unknown.",
    )
    condition = models.CharField(max_length=6, choices=Condition)
    found_case = models.CharField(max_length=40, blank=True, help_text="What tells the shipping case apart.")
    found_shop = models.CharField(
        max_length=60, blank=True, help_text="The kind or chain of shop, no address."
    )
    found_month = models.DateField(null=True, blank=True, help_text="First day of the month.")
    country = models.CharField(max_length=2, blank=True, help_text="ISO 3166-1 alpha-2.")
    region = models.CharField(max_length=60, blank=True, help_text="A wide region, never finer.")
    added_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")
    added_at = models.DateTimeField()

    class Meta:
        constraints = [one_of("condition", Condition, "example_condition_known")]

    def __str__(self) -> str:
        condition = in_english(Condition(self.condition).label)
        if self.owner is None:
            return Sentence("%(condition)s example %(id)s", condition=condition, id=self.public_id)
        return Sentence(
            "%(condition)s example of %(owner)s, %(id)s",
            condition=condition,
            owner=str(self.owner),
            id=self.public_id,
        )


class Licence(models.TextChoices):
    CC_BY_4 = "CC-BY-4.0", _("CC BY 4.0")
    CC0_1 = "CC0-1.0", _("CC0 1.0")


class View(models.TextChoices):
    """What a photo lets one inspect."""

    SEAL_ALL_ROUND = "seal_all_round", _("seal or blister all round")
    RIVETS = "rivets", _("rivets")
    AXLES = "axles", _("axles")
    BASE = "base", _("base")
    FRONT = "front", _("front")
    REAR = "rear", _("rear")
    LEFT = "left", _("left side")
    RIGHT = "right", _("right side")
    TOP = "top", _("top")
    INTERIOR = "interior", _("interior")
    RAKING_LIGHT = "raking_light", _("raking light")
    GREY_CARD = "grey_card", _("grey card in shot")
    PATCH_CHART = "patch_chart", _("24-patch chart in shot")


PHOTO_SIZES = ("full", "800", "320")
"""What every photo has, in JPEG: whole, and by its longest side in pixels."""
WEBP_SIZES = ("1600", "800", "320")
"""What pages show in its stead; of photos that came in before, once draw_photos has run."""


def stored_as(digest: str, size: str = "full", kind: str = "jpg") -> str:
    """Storage key of a picture; no name that a client sent is ever part of it."""
    return f"photos/{digest[:2]}/{digest}-{size}.{kind}"


def jpeg_of(size: str) -> str:
    """The size in JPEG of what is shown in WebP."""
    return "full" if size == "1600" else size


def files_of(digest: str) -> list[str]:
    """Every key that a picture may be stored under."""
    webp = [stored_as(digest, size, "webp") for size in WEBP_SIZES]
    return [stored_as(digest, size) for size in PHOTO_SIZES] + webp


def is_published(photo: str = "") -> Q:
    """Not held by an unsent report alone; `photo` leads there from another model, such as `photo__` from a mark."""
    return Q(**{f"{photo}submission": None}) | Q(**{f"{photo}submission__sent_at__isnull": False})


def is_about(variants: Any) -> Q:
    """Came with a report that was sent on one of the variants, or with a dispute of its claims."""
    sent = Q(submission__variant__in=variants, submission__sent_at__isnull=False)
    return sent | Q(dispute__claim__variant__in=variants)


class PhotoQuerySet(models.QuerySet["Photo"]):
    def shown(self) -> PhotoQuerySet:
        return self.filter(taken_down_at=None)

    def published(self) -> PhotoQuerySet:
        return self.filter(is_published())

    def seen_by(self, reader: Member | None) -> PhotoQuerySet:
        """Published, and the reader's own: those of a draft are their owner's alone."""
        return self.filter(is_published() | Q(owner=reader)) if reader else self.published()


class Photo(Identified):
    """An evidence picture, re-encoded and stored under the digest of what is stored. Written by actions.attach."""

    submission = models.ForeignKey(Submission, models.PROTECT, null=True, blank=True, related_name="photos")
    dispute = models.ForeignKey(
        "registry.Dispute", models.PROTECT, null=True, blank=True, related_name="photos"
    )
    sighting = models.ForeignKey(
        "registry.Sighting", models.PROTECT, null=True, blank=True, related_name="photos"
    )
    owner = models.ForeignKey("registry.Member", models.PROTECT, related_name="photos")
    examples = models.ManyToManyField(Example, through="PhotoExample", related_name="photos")
    views = models.JSONField(default=list, help_text="A list of View values.")
    caption = models.CharField(max_length=200, blank=True)
    digest = models.CharField(max_length=64, db_index=True, help_text="SHA-256 of the stored picture.")
    upload_digest = models.CharField(max_length=64, db_index=True, help_text="SHA-256 of the bytes as sent.")
    width = models.PositiveIntegerField(help_text="Pixels.")
    height = models.PositiveIntegerField(help_text="Pixels.")
    size_bytes = models.PositiveIntegerField()
    licence = models.CharField(max_length=9, choices=Licence, default=Licence.CC_BY_4)
    captured_on = models.DateField(
        null=True, blank=True, help_text="The camera's date: private, only a hint."
    )
    quality = models.JSONField(
        null=True,
        blank=True,
        help_text="How fit it is to be evidence, as methods.photo_quality measured it. Null: kept before that.",
    )
    added_at = models.DateTimeField()
    taken_down_at = models.DateTimeField(null=True, blank=True)
    withheld_by_law = models.BooleanField(default=False, help_text="Taken down on a legal demand.")
    restored_at = models.DateTimeField(null=True, blank=True, help_text="When a takedown was last undone.")
    is_edited = models.BooleanField(
        default=False, help_text="Its owner says that more was changed than size, frame and overall light."
    )
    compared_at = models.DateTimeField(
        null=True, blank=True, help_text="When it was looked at for pictures that it is like."
    )

    objects = PhotoQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("licence", Licence, "photo_licence_known"),
            models.CheckConstraint(condition=Q(width__gte=1, height__gte=1), name="photo_has_area"),
            models.CheckConstraint(
                condition=Q(withheld_by_law=False) | Q(taken_down_at__isnull=False),
                name="photo_withheld_is_taken_down",
            ),
            models.UniqueConstraint(
                "submission",
                "digest",
                condition=Q(submission__isnull=False),
                name="photo_once_per_submission",
            ),
        ]
        indexes = [models.Index(fields=["id"], condition=Q(compared_at=None), name="photo_not_compared")]

    def __str__(self) -> str:
        return self.caption or self.public_id

    @property
    def is_published(self) -> bool:
        """Not held by an unsent report alone."""
        return self.submission is None or self.submission.sent_at is not None

    @property
    def is_visible(self) -> bool:
        """Published, or shown to others in an opened draft, where it is no evidence yet."""
        return self.is_published or (self.submission is not None and self.submission.is_opened)

    @property
    def advice(self) -> list[str]:
        """One sentence for each fault that its owner might mend."""
        return [ADVICE[code] for code in (self.quality or {}).get("advice", ()) if code in ADVICE]

    @property
    def chart_shown(self) -> Any:
        """The latest of its charts, unless that says there is none. Read from prefetched `charts` where they are."""
        latest = max(self.charts.all(), key=lambda chart: chart.pk, default=None)
        return latest if latest and latest.corners else None

    def stored_as(self, size: str = "full", kind: str = "jpg") -> str:
        return stored_as(self.digest, size, kind)


class PhotoExample(models.Model):
    photo = models.ForeignKey(Photo, models.CASCADE, related_name="photo_examples")
    example = models.ForeignKey(Example, models.PROTECT, related_name="photo_examples")

    class Meta:
        constraints = [models.UniqueConstraint("photo", "example", name="photo_example_once")]

    def __str__(self) -> str:
        return f"{self.example} in {self.photo}"


class MarkQuerySet(models.QuerySet["Mark"]):
    def standing(self) -> MarkQuerySet:
        return self.filter(removed_at=None, photo__taken_down_at=None)

    def on(self, claims: Iterable[Any]) -> MarkQuerySet:
        """On the claims, or on those merged into them; `shown_claim` is the key of the claim it shows."""
        marks = self.filter(claim__in=Claim.objects.counting_on(claims))
        return marks.annotate(shown_claim=Coalesce("claim__merged_into", "claim"))


class Mark(Identified):
    """A region of a photo that shows a claim on one example. Hundredths of a percent of width and height."""

    photo = models.ForeignKey(Photo, models.PROTECT, related_name="marks")
    example = models.ForeignKey(Example, models.PROTECT, related_name="marks")
    claim = models.ForeignKey("registry.Claim", models.PROTECT, related_name="marks")
    x = models.PositiveIntegerField(help_text="Left edge, 0 to 9999 hundredths of a percent of the width.")
    y = models.PositiveIntegerField(help_text="Top edge, of the height.")
    w = models.PositiveIntegerField(help_text="Width; x + w is at most 10000.")
    h = models.PositiveIntegerField(help_text="Height; y + h is at most 10000.")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="marks")
    at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)

    shown_claim: int
    """Given by `on` alone."""
    told: Any = None
    """What was measured of its colour, where registry.queries.colours was asked."""

    objects = MarkQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(w__gte=1, h__gte=1), name="mark_has_area"),
            models.CheckConstraint(
                condition=Q(x__lte=10_000 - F("w")) & Q(y__lte=10_000 - F("h")), name="mark_inside_picture"
            ),
        ]

    def __str__(self) -> str:
        return Sentence("%(claim)s at %(region)s", claim=str(self.claim), region=self.fragment)

    @property
    def fragment(self) -> str:
        """Media Fragments URI 1.0 section 4.2.2: `xywh=percent:x,y,w,h`."""
        return "xywh=percent:" + ",".join(f"{part / 100:g}" for part in (self.x, self.y, self.w, self.h))
