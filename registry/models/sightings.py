"""What was seen, where and how many; and what was said about the order of variants."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from .base import Identified, one_of
from .evidence import Condition
from .variants import Variant


class Scope(models.TextChoices):
    ITEM = "item", "one item"
    SEALED_PACK = "sealed_pack", "one sealed pack"
    PEG = "peg", "a peg or shelf"
    CASE = "case", "a shipping case"
    COLLECTION = "collection", "a collection"


class PickedOver(models.TextChoices):
    YES = "yes", "yes"
    NO = "no", "no"
    UNKNOWN = "unknown", "unknown"


class Sighting(Identified):
    """Dated and coarsely placed. Written by actions.sight.

    A find was looked for; in a full count everything there was counted, and only that says how common a thing is.
    """

    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="sightings")
    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="sightings")
    scope = models.CharField(max_length=11, choices=Scope)
    is_full_count = models.BooleanField(default=False)
    cases_compared = models.PositiveIntegerField(
        null=True, blank=True, help_text="Of a full count: from how many cases."
    )
    picked_over = models.CharField(max_length=7, choices=PickedOver, default=PickedOver.UNKNOWN)
    pack = models.ForeignKey("registry.Pack", models.PROTECT, null=True, blank=True, related_name="sightings")
    pack_version = models.ForeignKey(
        "registry.PackVersion", models.PROTECT, null=True, blank=True, related_name="sightings"
    )
    example = models.ForeignKey(
        "registry.Example", models.PROTECT, null=True, blank=True, related_name="sightings"
    )
    seen_on = models.DateField()
    country = models.CharField(max_length=2, blank=True, help_text="ISO 3166-1 alpha-2.")
    region = models.CharField(max_length=60, blank=True, help_text="A wide region, never finer.")
    source = models.CharField(
        max_length=200, blank=True, help_text="A published source, if not seen in person."
    )
    note = models.CharField(max_length=300, blank=True)
    traits_seen = models.ManyToManyField("registry.Trait", blank=True, related_name="+")
    added_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            one_of("scope", Scope, "sighting_scope_known"),
            one_of("picked_over", PickedOver, "sighting_picked_over_known"),
            models.CheckConstraint(
                condition=Q(cases_compared=None) | Q(is_full_count=True, cases_compared__gte=1),
                name="sighting_cases_only_of_full_count",
            ),
            models.CheckConstraint(
                condition=Q(example=None) | Q(scope__in=["item", "sealed_pack"]),
                name="sighting_example_is_one_item",
            ),
        ]
        indexes = [
            models.Index(fields=["release", "seen_on"], name="sighting_by_release_day"),
            models.Index(fields=["seen_on", "id"], name="sighting_by_day"),
        ]

    def __str__(self) -> str:
        return f"{self.get_scope_display()} on {self.seen_on}"


class CountKind(models.TextChoices):
    VARIANT = "variant", "this variant"
    ONE_OF_THESE = "one_of_these", "one of these"
    NONE_KNOWN = "none_known", "none of the known ones"


class CountLineQuerySet(models.QuerySet["CountLine"]):
    def naming(self, variant: Variant) -> CountLineQuerySet:
        """Lines that name the variant, or one that was merged into it."""
        named = Variant.objects.filter(Q(pk=variant.pk) | Q(merged_into=variant))
        return self.filter(
            pk__in=self.model.variants.through.objects.filter(variant__in=named).values("countline")
        )


class CountLine(models.Model):
    """How many of one variant, of one of several candidates, or of none known, a sighting saw."""

    sighting = models.ForeignKey(Sighting, models.CASCADE, related_name="count_lines")
    kind = models.CharField(max_length=12, choices=CountKind)
    variants = models.ManyToManyField("registry.Variant", blank=True, related_name="count_lines")
    condition = models.CharField(max_length=6, choices=Condition, blank=True)
    n = models.PositiveIntegerField()

    objects = CountLineQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("kind", CountKind, "count_line_kind_known"),
            models.CheckConstraint(condition=Q(n__gte=1), name="count_line_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.n} of {self.kind}"


class StatementKind(models.TextChoices):
    BEFORE = "before", "was made before"
    ALONGSIDE = "alongside", "was made alongside"
    ENDED_BY = "ended_by", "was replaced by"
    RETURNED = "returned", "came back after"
    NOT_BEFORE = "not_before", "was not made before the date"
    NOT_AFTER = "not_after", "was not made after the date"


class SourceKind(models.TextChoices):
    DATED_SIGHTING = "dated_sighting", "a dated sighting"
    MAKERS_NOTICE = "makers_notice", "a notice of the maker"
    PRODUCTION_CODE = "production_code", "a production code"
    ASSORTMENT_WINDOW = "assortment_window", "the window of an assortment"
    PACKING_DATE = "packing_date", "the packing date of a pack seen with both"


BOUNDS = (StatementKind.NOT_BEFORE, StatementKind.NOT_AFTER)


class Statement(Identified):
    """An order relation between two variants of a release, or a date bound on one, with its source."""

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="statements")
    kind = models.CharField(max_length=10, choices=StatementKind)
    variant = models.ForeignKey("registry.Variant", models.PROTECT, related_name="statements")
    other = models.ForeignKey("registry.Variant", models.PROTECT, null=True, blank=True, related_name="+")
    on = models.DateField(null=True, blank=True)
    source_kind = models.CharField(max_length=17, choices=SourceKind)
    source = models.CharField(max_length=200)
    author = models.ForeignKey("registry.Member", models.PROTECT, related_name="statements")
    added_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            one_of("kind", StatementKind, "statement_kind_known"),
            one_of("source_kind", SourceKind, "statement_source_kind_known"),
            models.CheckConstraint(
                condition=Q(kind__in=BOUNDS, other=None, on__isnull=False)
                | (~Q(kind__in=BOUNDS) & Q(other__isnull=False, on=None)),
                name="statement_relation_or_bound",
            ),
            models.CheckConstraint(condition=Q(other=None) | ~Q(other=F("variant")), name="statement_of_two"),
        ]

    def __str__(self) -> str:
        return f"{self.variant} {self.get_kind_display()} {self.other or self.on}"
