"""A member's private record of what they own."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from .base import Identified, one_of
from .evidence import Condition


class CabinetItem(Identified):
    """Seen by its owner alone. A release without a variant means: not checked yet which one it is."""

    member = models.ForeignKey("registry.Member", models.CASCADE, related_name="cabinet")
    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="+")
    variant = models.ForeignKey("registry.Variant", models.PROTECT, null=True, blank=True, related_name="+")
    pack_version = models.ForeignKey(
        "registry.PackVersion", models.PROTECT, null=True, blank=True, related_name="+"
    )
    example = models.ForeignKey("registry.Example", models.PROTECT, null=True, blank=True, related_name="+")
    condition = models.CharField(max_length=6, choices=Condition)
    count = models.PositiveSmallIntegerField(default=1)
    to_swap = models.PositiveSmallIntegerField(default=0, help_text="How many of them are to swap.")
    note = models.CharField(max_length=300, blank=True)
    revision = models.PositiveIntegerField(default=1)
    added_at = models.DateTimeField()
    changed_at = models.DateTimeField()

    class Meta:
        constraints = [
            one_of("condition", Condition, "cabinet_item_condition_known"),
            models.CheckConstraint(condition=Q(count__gte=1), name="cabinet_item_count_positive"),
            models.CheckConstraint(
                condition=Q(to_swap__lte=models.F("count")), name="cabinet_item_swaps_owned"
            ),
        ]
        indexes = [models.Index(fields=["member", "id"], name="cabinet_own")]

    def __str__(self) -> str:
        return f"{self.count} x {self.variant or self.release}"
