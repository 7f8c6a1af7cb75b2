"""Codes that a report's author writes on paper in the picture, and who saw them. Written by actions.possession."""

from __future__ import annotations

from datetime import datetime

from django.db import models

from registry.methods.shot_code import GOOD_FOR, show_code

from .evidence import Photo, Submission


class ShotCode(models.Model):
    """A code given to one report; after 14 days it asks for another. Photos sent meanwhile may show it."""

    submission = models.ForeignKey(Submission, models.CASCADE, related_name="shot_codes", db_index=False)
    code = models.CharField(max_length=6)
    issued_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint("submission", "code", name="shot_code_once_per_report")]

    def __str__(self) -> str:
        return show_code(self.code)

    @property
    def good_until(self) -> datetime:
        return self.issued_at + GOOD_FOR


class CodeSeen(models.Model):
    """A reviewer read the report's code in the picture. It is shown beside the picture and weighs nothing."""

    photo = models.ForeignKey(Photo, models.CASCADE, related_name="codes_seen", db_index=False)
    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="codes_seen")
    at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "codes seen"
        constraints = [models.UniqueConstraint("photo", "by", name="code_seen_once")]

    def __str__(self) -> str:
        return f"{self.by} in photo {self.photo_id}"
