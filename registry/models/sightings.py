"""What was seen, where and how many."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from registry.sentences import Sentence

from .base import Identified, in_english, one_of
from .evidence import Condition
from .variants import Variant


class Scope(models.TextChoices):
    ITEM = "item", _("one item")
    SEALED_PACK = "sealed_pack", _("one sealed pack")
    PEG = "peg", _("a peg or shelf")
    CASE = "case", _("a shipping case")
    COLLECTION = "collection", _("a collection")


class PickedOver(models.TextChoices):
    YES = "yes", _("yes")
    NO = "no", _("no")
    UNKNOWN = "unknown", _("unknown")


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
    total = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text="Of a full count: how many there were, if said; its lines add up to it.",
    )
    no_difference = models.BooleanField(
        default=False, help_text="Of a full count: all were compared, and no difference was seen."
    )
    is_offer = models.BooleanField(default=False, help_text="A seller offered it; it was not found on sale.")
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
    key = models.CharField(
        max_length=60, blank=True, help_text="The member's own name for it: imported again, it counts once."
    )
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
                condition=Q(is_full_count=True) | Q(total=None, no_difference=False),
                name="sighting_compared_only_in_full_count",
            ),
            models.UniqueConstraint("by", "key", condition=~Q(key=""), name="sighting_key_once"),
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
        return Sentence(
            "%(scope)s on %(day)s", scope=in_english(Scope(self.scope).label), day=str(self.seen_on)
        )


class CountKind(models.TextChoices):
    VARIANT = "variant", _("this variant")
    ONE_OF_THESE = "one_of_these", _("one of these")
    NONE_KNOWN = "none_known", _("none of the known ones")
    COULD_NOT_TELL = "could_not_tell", _("could not tell")


class CountLineQuerySet(models.QuerySet["CountLine"]):
    def naming(self, variant: Variant) -> CountLineQuerySet:
        """Lines that name the variant, or one that was merged into it."""
        named = Variant.objects.standing_for(variant)
        return self.filter(
            pk__in=self.model.variants.through.objects.filter(variant__in=named).values("countline")
        )


class CountLine(models.Model):
    """How many of one variant, of one of several candidates, of none known, or not to be told, a sighting saw."""

    sighting = models.ForeignKey(Sighting, models.CASCADE, related_name="count_lines")
    kind = models.CharField(max_length=14, choices=CountKind)
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
