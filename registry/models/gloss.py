"""What a gloss meter showed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce

from registry.methods.gloss_meter import ANGLES, MOST
from registry.sentences import Sentence

from .base import Identified
from .variants import Claim

MOST_TENTHS = round(MOST * 10)


class GlossReadingQuerySet(models.QuerySet["GlossReading"]):
    def standing(self) -> GlossReadingQuerySet:
        return self.filter(removed_at=None)

    def on(self, claims: Iterable[Any]) -> GlossReadingQuerySet:
        """Of the claims, or of those merged into them; `shown_claim` is the key of the claim it is about."""
        found = self.filter(claim__in=Claim.objects.counting_on(claims))
        return found.annotate(shown_claim=Coalesce("claim__merged_into", "claim"))


class GlossReading(Identified):
    """What a gloss meter showed on one example, at one angle (ISO 2813).

    Written by actions.gloss; it helps people judge and never moves a standing.
    """

    example = models.ForeignKey("registry.Example", models.PROTECT, related_name="gloss_readings")
    claim = models.ForeignKey(
        "registry.Claim", models.PROTECT, null=True, blank=True, related_name="gloss_readings"
    )
    trait = models.ForeignKey(
        "registry.Trait",
        models.PROTECT,
        related_name="gloss_readings",
        help_text="Of kind finish; the claim's, where there is one.",
    )
    geometry = models.PositiveSmallIntegerField(help_text="Degrees from upright: 20, 60 or 85.")
    tenths = models.PositiveSmallIntegerField(help_text="Tenths of a gloss unit; black glass is 1000.")
    instrument = models.CharField(
        max_length=100, blank=True, help_text="Which meter, and when it saw its black glass last."
    )
    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="gloss_readings")
    at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)

    shown_claim: int
    """Given by `on` alone."""

    objects = GlossReadingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(geometry__in=ANGLES), name="gloss_reading_geometry_known"),
            models.CheckConstraint(
                condition=Q(tenths__lte=MOST_TENTHS), name="gloss_reading_within_what_meters_show"
            ),
        ]

    def __str__(self) -> str:
        return Sentence(
            "%(geometry)s°: %(units)s gloss units", geometry=self.geometry, units=f"{self.gloss_units:.1f}"
        )

    @property
    def gloss_units(self) -> float:
        return self.tenths / 10
