"""Deeds that take two moderators: one asks, another confirms."""

from __future__ import annotations

from datetime import datetime

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from registry.methods import reasons

from .base import Identified, one_of


class DeedOutcome(models.TextChoices):
    WAITING = "waiting", _("waiting for a second moderator")
    DONE = "done", _("done")
    DECLINED = "declined", _("declined")


class DeedQuerySet(models.QuerySet["PendingDeed"]):
    def waiting(self, at: datetime) -> DeedQuerySet:
        return self.filter(outcome=DeedOutcome.WAITING, expires_at__gt=at)


class PendingDeed(Identified):
    """What a moderator asked for and another one has to confirm. Nothing of it happens before.

    `detail` names what it is about by public ids. Written by actions.two_persons.
    """

    kind = models.CharField(max_length=20, help_text="One of actions.two_persons.DEEDS.")
    detail = models.JSONField()
    words = models.CharField(max_length=300, help_text="What it is, as it read when it was asked for.")
    reason = models.CharField(max_length=300)
    asked_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    outcome = models.CharField(max_length=8, choices=DeedOutcome, default=DeedOutcome.WAITING)
    decided_by = models.ForeignKey("registry.Member", models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)

    objects = DeedQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("outcome", DeedOutcome, "deed_outcome_known"),
            models.CheckConstraint(
                condition=Q(outcome="waiting", decided_by=None, decided_at=None)
                | (~Q(outcome="waiting") & Q(decided_by__isnull=False, decided_at__isnull=False)),
                name="deed_waiting_or_decided",
            ),
            models.CheckConstraint(
                condition=~Q(outcome="done") | ~Q(decided_by=F("asked_by")), name="deed_done_by_two"
            ),
            models.CheckConstraint(condition=Q(expires_at__gt=F("asked_at")), name="deed_expires_later"),
        ]
        indexes = [models.Index(fields=["outcome", "expires_at"], name="deed_by_outcome")]

    def __str__(self) -> str:
        return reasons.read(self.words, reasons.DEEDS)
