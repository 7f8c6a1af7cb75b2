"""Lengths taken on photographs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from .base import Identified, one_of
from .variants import Claim

PARTS = 10_000
ENDS = ("known_x1", "known_y1", "known_x2", "known_y2", "x1", "y1", "x2", "y2")
Place = tuple[int, int]


class KnownBy(models.TextChoices):
    WHEELBASE = "wheelbase", _("the casting's wheelbase")
    RULER = "ruler", _("a ruler or the like in the picture")


class MeasurementQuerySet(models.QuerySet["Measurement"]):
    def standing(self) -> MeasurementQuerySet:
        return self.filter(removed_at=None, photo__taken_down_at=None)

    def on(self, claims: Iterable[Any]) -> MeasurementQuerySet:
        """Of the claims, or of those merged into them; `shown_claim` is the key of the claim it is about."""
        found = self.filter(claim__in=Claim.objects.counting_on(claims))
        return found.annotate(shown_claim=Coalesce("claim__merged_into", "claim"))


def place(**kwargs: Any) -> Any:
    return models.PositiveSmallIntegerField(help_text="Hundredths of a percent of the picture.", **kwargs)


class Measurement(Identified):
    """How long something on one example is, by two points on a photo and two others a known length apart.

    Written by actions.measuring; it helps people judge and never moves a standing.
    """

    photo = models.ForeignKey("registry.Photo", models.PROTECT, related_name="measurements")
    example = models.ForeignKey("registry.Example", models.PROTECT, related_name="measurements")
    claim = models.ForeignKey(
        "registry.Claim", models.PROTECT, null=True, blank=True, related_name="measurements"
    )
    trait = models.ForeignKey(
        "registry.Trait",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="measurements",
        help_text="The claim's, where there is one.",
    )
    known_by = models.CharField(max_length=9, choices=KnownBy)
    known_um = models.PositiveIntegerField(help_text="Micrometres between the first two points.")
    known_x1, known_y1, known_x2, known_y2 = place(), place(), place(), place()
    x1, y1, x2, y2 = place(), place(), place(), place()
    pointing_px = models.PositiveSmallIntegerField(
        help_text="Standard error of each coordinate, in pixels of the whole picture."
    )
    is_slanted = models.BooleanField(help_text="The camera did not look square on at that side.")
    same_plane = models.BooleanField(help_text="Both lines lie on one side of the vehicle.")
    distance_mm = models.PositiveIntegerField(null=True, blank=True, help_text="From camera to vehicle.")
    length_um = models.PositiveBigIntegerField()
    error_um = models.PositiveBigIntegerField(help_text="Two standard uncertainties.")
    caveats = models.JSONField(default=list, help_text="What added to the error, by name.")
    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="measurements")
    at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)

    shown_claim: int
    """Given by `on` alone."""

    objects = MeasurementQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("known_by", KnownBy, "measurement_known_by_known"),
            models.CheckConstraint(
                condition=Q(**{f"{end}__lte": PARTS for end in ENDS}), name="measurement_inside_picture"
            ),
            models.CheckConstraint(
                condition=Q(known_um__gte=1, length_um__gte=1, error_um__gte=1, pointing_px__gte=1),
                name="measurement_lengths_positive",
            ),
            models.CheckConstraint(
                condition=Q(claim=None) | Q(trait__isnull=False), name="measurement_claim_names_trait"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.length_um} ± {self.error_um} µm"

    @property
    def reference(self) -> tuple[Place, Place]:
        return (self.known_x1, self.known_y1), (self.known_x2, self.known_y2)

    @property
    def measured(self) -> tuple[Place, Place]:
        return (self.x1, self.y1), (self.x2, self.y2)
