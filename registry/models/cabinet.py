"""A member's private record of what they own, and of what they look for."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

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
    wear = models.CharField(max_length=120, blank=True, help_text="Its condition, in the member's own words.")
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
        indexes = [
            models.Index(fields=["member", "id"], name="cabinet_own"),
            models.Index(fields=["member", "release", "variant"], name="cabinet_by_release"),
        ]

    def __str__(self) -> str:
        return f"{self.count} x {self.variant or self.release}"


class Depth(models.TextChoices):
    CASTING = "casting", _("each casting")
    RELEASE = "release", _("each release")
    CHANGE = "change", _("each running change")
    PACK = "pack", _("each running change, and each version of the pack")
    TRAITS = "traits", _("each that differs in the details I choose")


class Hunt(models.Model):
    """How deep a member collects. Seen by its owner alone; without a row: each running change, in every line.

    Written by actions.hunt. Errors and samples are looked for only where the member says so.
    """

    member = models.OneToOneField("registry.Member", models.CASCADE, related_name="hunt")
    depth = models.CharField(max_length=7, choices=Depth, default=Depth.CHANGE)
    with_errors = models.BooleanField(default=False, help_text="Factory errors too.")
    with_samples = models.BooleanField(default=False, help_text="Pre-production samples too.")
    lines = models.ManyToManyField(
        "registry.Line", blank=True, related_name="+", help_text="None: every line."
    )
    traits = models.ManyToManyField(
        "registry.Trait", blank=True, related_name="+", help_text="The details that count, at depth `traits`."
    )
    revision = models.PositiveIntegerField(default=0, help_text="0: nothing was ever chosen.")
    changed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [one_of("depth", Depth, "hunt_depth_known")]

    def __str__(self) -> str:
        return f"{self.member}: {self.get_depth_display()}"
