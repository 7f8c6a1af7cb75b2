"""Colours measured in photographs: the chart that a picture holds, and what it makes of each mark."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import in_english, one_of
from .evidence import Mark, Photo


class ChartKind(models.TextChoices):
    PATCH_CHART = "patch_chart", _("24-patch chart")
    GREY_CARD = "grey_card", _("grey card")
    NONE = "none", _("no chart")


class Chart(models.Model):
    """What the colours of a photo are measured by, pointed out by its corners. Written by actions.colours.

    Rows are only added: the latest of a photo counts. `none` takes back one that was no chart.
    """

    photo = models.ForeignKey(Photo, models.PROTECT, related_name="charts")
    kind = models.CharField(max_length=11, choices=ChartKind)
    corners = models.JSONField(
        default=list,
        help_text="Four pairs x, y in hundredths of a percent of the picture, clockwise from the brown patch, of a "
        "grey card from the top left; empty for `none`.",
    )
    residual = models.PositiveIntegerField(
        null=True, blank=True, help_text="Median CIEDE2000 of the patches, each by all others, in hundredths."
    )
    worst = models.PositiveIntegerField(
        null=True, blank=True, help_text="The largest of them, in hundredths."
    )
    by = models.ForeignKey(
        "registry.Member",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="charts",
        help_text="Null: found by the program where the photo's owner said that there is one.",
    )
    at = models.DateTimeField()

    class Meta:
        constraints = [
            one_of("kind", ChartKind, "chart_kind_known"),
            models.CheckConstraint(
                condition=~Q(kind=ChartKind.PATCH_CHART) | Q(residual__isnull=False, worst__isnull=False),
                name="chart_of_patches_says_how_it_fits",
            ),
        ]
        indexes = [models.Index(fields=["photo", "-id"], name="chart_latest")]

    def __str__(self) -> str:
        return in_english(ChartKind(self.kind).label)

    @property
    def percents(self) -> list[tuple[float, float]]:
        """The corners in percent of the picture."""
        return [(x / 100, y / 100) for x, y in self.corners]


class MarkColour(models.Model):
    """The colour of a marked region, worked out anew from photo, chart and mark whenever one of them changes.

    Without a chart it only says how marks of one photo differ, and no number of it is ever shown.
    """

    mark = models.OneToOneField(Mark, models.CASCADE, related_name="colour")
    chart = models.ForeignKey(Chart, models.PROTECT, null=True, blank=True, related_name="+")
    lab_l = models.IntegerField(null=True, blank=True, help_text="Median CIELAB L* under D50, in hundredths.")
    lab_a = models.IntegerField(null=True, blank=True, help_text="a*, in hundredths.")
    lab_b = models.IntegerField(null=True, blank=True, help_text="b*, in hundredths.")
    spread = models.PositiveIntegerField(
        default=0, help_text="Median CIEDE2000 of the pixels from that, in hundredths."
    )
    error = models.PositiveIntegerField(
        null=True, blank=True, help_text="Standard error, CIEDE2000 in hundredths; null without a chart."
    )
    used = models.PositiveIntegerField(
        default=0,
        help_text="Share of the pixels that are neither highlight nor gap, in hundredths of a percent.",
    )
    pixels = models.PositiveIntegerField(default=0)
    trouble = models.CharField(max_length=300, blank=True, help_text="Why it shows no colour, in a sentence.")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(lab_l=None, lab_a=None, lab_b=None, error=None) & ~Q(trouble="")
                | Q(lab_l__isnull=False, lab_a__isnull=False, lab_b__isnull=False, trouble=""),
                name="mark_colour_or_trouble",
            ),
        ]

    def __str__(self) -> str:
        return f"colour of {self.mark_id}"

    @property
    def lab(self) -> tuple[float, float, float] | None:
        """CIELAB (D50)."""
        if self.lab_l is None or self.lab_a is None or self.lab_b is None:
            return None
        return self.lab_l / 100, self.lab_a / 100, self.lab_b / 100

    @property
    def is_measured(self) -> bool:
        """By a chart, and not only relative to other marks of the photo."""
        return self.error is not None


def hundredths(value: Any) -> int:
    """A number as it is kept."""
    return round(float(value) * 100)
