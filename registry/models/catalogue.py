"""What is made and how it is sold: makers, lines, castings, releases, assortments, packs, availability."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from .base import Acceptance, Identified, Proposable, ProposableQuerySet, one_of

if TYPE_CHECKING:
    from .fits import Fit


class Maker(Identified):
    """Who makes it. Written by moderators through actions.catalogue."""

    name = models.CharField(max_length=80, unique=True)

    def __str__(self) -> str:
        return self.name


class Line(Identified):
    """A product line of one maker, at one scale."""

    maker = models.ForeignKey(Maker, models.PROTECT, related_name="lines")
    name = models.CharField(max_length=80)
    scale = models.PositiveSmallIntegerField(help_text="The n of 1:n.")

    class Meta:
        constraints = [
            models.UniqueConstraint("maker", "name", name="line_once_per_maker"),
            models.CheckConstraint(condition=Q(scale__gte=1), name="line_scale_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class Casting(Proposable):
    """One tooled vehicle model of a maker; it may appear in several lines."""

    maker = models.ForeignKey(Maker, models.PROTECT, related_name="castings")
    name = models.CharField(max_length=80)
    what = models.CharField(max_length=80, blank=True, help_text="What it is, in words: salt lorry.")
    nicknames = models.JSONField(default=list, blank=True)
    subject = models.CharField(
        max_length=120, blank=True, help_text="The full-size subject, where there is one."
    )
    wheelbase_um = models.PositiveIntegerField(null=True, blank=True, help_text="Micrometres, on the model.")

    class Meta(Proposable.Meta):
        constraints = [
            *Proposable.Meta.constraints,
            models.UniqueConstraint(
                "maker", "name", condition=~Q(acceptance=Acceptance.MERGED), name="casting_once_per_maker"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ReleaseQuerySet(ProposableQuerySet["Release"]):
    def unsettled(self, fit: Fit) -> ReleaseQuerySet:
        """Those with variants whose standings were decided under another fit than this one, or under none."""
        with_variants = self.exclude(acceptance=Acceptance.MERGED).filter(variants__isnull=False)
        return with_variants.exclude(settled_fit=fit).distinct()


class Release(Proposable):
    """One issue of a casting in a line under one name, number, year and main livery.

    Variants, order and shares live inside a release. Proposed by actions.submit, edited by actions.catalogue;
    the two columns on founding mode, and under which fit it was settled, are kept by actions.settle.
    """

    casting = models.ForeignKey(Casting, models.PROTECT, related_name="releases")
    line = models.ForeignKey(Line, models.PROTECT, related_name="releases")
    name = models.CharField(max_length=120)
    number = models.CharField(max_length=40, blank=True)
    year = models.PositiveSmallIntegerField()
    livery = models.CharField(max_length=120, blank=True)
    nicknames = models.JSONField(default=list, blank=True)
    reissue_of = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="reissues")
    eligible_reviewers = models.PositiveIntegerField(
        default=0,
        help_text="Reviewers who are neither authors nor photo owners of the release's submissions.",
    )
    is_founding = models.BooleanField(default=True, help_text="Judged with the founding policy, openly.")
    sealed_unobtainable = models.BooleanField(
        default=False, help_text="A moderator has marked sealed examples as not to be had."
    )
    settled_fit = models.ForeignKey(
        "registry.Fit",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="settled_releases",
        help_text="Its standings were decided last under this fit. Null: everybody as the policy says.",
    )

    objects = ReleaseQuerySet.as_manager()  # type: ignore[misc]

    class Meta(Proposable.Meta):
        constraints = [
            *Proposable.Meta.constraints,
            models.UniqueConstraint(
                "line",
                "casting",
                "name",
                "number",
                "year",
                "livery",
                condition=~Q(acceptance=Acceptance.MERGED),
                name="release_once",
            ),
            models.CheckConstraint(
                condition=Q(year__gte=1900, year__lte=2200), name="release_year_plausible"
            ),
        ]
        indexes = [
            *Proposable.Meta.indexes,
            models.Index(fields=["eligible_reviewers"], name="release_eligible"),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.year})"


class Assortment(Identified):
    """A retail mix of releases shipped together."""

    line = models.ForeignKey(Line, models.PROTECT, related_name="assortments")
    name = models.CharField(max_length=120)
    case_code = models.CharField(max_length=40, blank=True)
    opens_on = models.DateField(null=True, blank=True, help_text="First day of the release window.")
    closes_on = models.DateField(null=True, blank=True, help_text="Last day of the release window.")
    case_count = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Items in one case.")
    releases = models.ManyToManyField(Release, through="AssortmentItem", related_name="assortments")

    class Meta:
        constraints = [
            models.UniqueConstraint("line", "name", "case_code", name="assortment_once"),
            models.CheckConstraint(
                condition=Q(opens_on=None) | Q(closes_on=None) | Q(closes_on__gte=F("opens_on")),
                name="assortment_window_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class AssortmentItem(models.Model):
    assortment = models.ForeignKey(Assortment, models.PROTECT, related_name="items")
    release = models.ForeignKey(Release, models.PROTECT, related_name="assortment_items")
    per_case = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Count per case where known."
    )

    class Meta:
        constraints = [models.UniqueConstraint("assortment", "release", name="assortment_item_once")]

    def __str__(self) -> str:
        return f"{self.release} in {self.assortment}"


class CaseContent(models.Model):
    """How many of one variant a case of the assortment holds, by a source: shares start from it. See actions.cases."""

    assortment = models.ForeignKey(Assortment, models.PROTECT, related_name="case_contents")
    variant = models.ForeignKey("registry.Variant", models.PROTECT, related_name="case_contents")
    per_case = models.PositiveSmallIntegerField()
    source = models.CharField(max_length=200)

    class Meta:
        constraints = [
            models.UniqueConstraint("assortment", "variant", name="case_content_once"),
            models.CheckConstraint(condition=Q(per_case__gte=1), name="case_content_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.per_case} of {self.variant} in a case"


class PackKind(models.TextChoices):
    SINGLE_CARD = "single_card", _("single card")
    TWO_PACK = "two_pack", _("two-pack")
    PLAY_SET = "play_set", _("play set")
    MULTI_PACK = "multi_pack", _("multi-pack")
    LOOSE_ONLY = "loose_only", _("loose only")


class Pack(Proposable):
    """How releases are sold. One GTIN may cover a whole assortment, so a GTIN names no release by itself."""

    line = models.ForeignKey(Line, models.PROTECT, related_name="packs")
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=11, choices=PackKind)
    gtin = models.CharField(max_length=14, blank=True, db_index=True, help_text="Widened to 14 digits.")
    is_sealed = models.BooleanField(default=True, help_text="Opening it leaves a trace.")
    is_see_through = models.BooleanField(default=True, help_text="The vehicle is seen in the blister or box.")
    releases = models.ManyToManyField(Release, through="PackContent", related_name="packs")

    class Meta(Proposable.Meta):
        constraints = [
            *Proposable.Meta.constraints,
            one_of("kind", PackKind, "pack_kind_known"),
        ]

    def __str__(self) -> str:
        return self.name


class PackContent(models.Model):
    pack = models.ForeignKey(Pack, models.PROTECT, related_name="contents")
    release = models.ForeignKey(Release, models.PROTECT, related_name="pack_contents")
    count = models.PositiveSmallIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint("pack", "release", name="pack_content_once"),
            models.CheckConstraint(condition=Q(count__gte=1), name="pack_content_count_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.release} in {self.pack}"


class PackVersion(Identified):
    """A packaging change makes a new version of the pack, never a variant of the vehicle."""

    pack = models.ForeignKey(Pack, models.PROTECT, related_name="versions")
    name = models.CharField(max_length=80)
    card_art = models.CharField(max_length=120, blank=True)
    language = models.CharField(max_length=40, blank=True)
    blister = models.CharField(max_length=80, blank=True)
    insert = models.CharField(max_length=80, blank=True)
    codes = models.CharField(max_length=120, blank=True, help_text="Codes printed on the pack.")

    class Meta:
        constraints = [models.UniqueConstraint("pack", "name", name="pack_version_once")]

    def __str__(self) -> str:
        return f"{self.pack}: {self.name}"


class AvailabilityKind(models.TextChoices):
    ANNOUNCED = "announced", _("announced")
    ON_SALE = "on_sale", _("on sale")
    ENDED = "ended", _("ended")
    PULLED = "pulled", _("pulled from sale")
    NEVER_RELEASED = "never_released", _("never released")


class Availability(Identified):
    """A dated, sourced fact: where and when a release or a pack could be bought."""

    release = models.ForeignKey(Release, models.PROTECT, null=True, blank=True, related_name="availability")
    pack = models.ForeignKey(Pack, models.PROTECT, null=True, blank=True, related_name="availability")
    region = models.CharField(
        max_length=60, help_text="A country code or a wide region; world where it is so."
    )
    kind = models.CharField(max_length=14, choices=AvailabilityKind)
    on = models.DateField()
    source = models.CharField(max_length=200)
    added_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "availability"
        constraints = [
            models.CheckConstraint(
                condition=Q(release__isnull=False, pack__isnull=True)
                | Q(release__isnull=True, pack__isnull=False),
                name="availability_of_one_thing",
            ),
            one_of("kind", AvailabilityKind, "availability_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.release or self.pack}: {self.kind}"
