"""Reasoned objections to a claim or a statement."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from registry.sentences import Sentence

from .base import Identified, one_of


class Outcome(models.TextChoices):
    OPEN = "open", _("open")
    UPHELD = "upheld", _("upheld")
    CORRECTED = "corrected", _("corrected")
    WITHDRAWN = "withdrawn", _("withdrawn")


class DisputeQuerySet(models.QuerySet["Dispute"]):
    def open(self) -> DisputeQuerySet:
        return self.filter(outcome=Outcome.OPEN)


class Dispute(Identified):
    """An objection that opens a rival claim with the state proposed instead; one form votes on both.

    Opened and withdrawn by actions.dispute; closed there by a moderator, or by actions.settle when the votes decide.
    """

    claim = models.ForeignKey(
        "registry.Claim", models.PROTECT, null=True, blank=True, related_name="disputes"
    )
    statement = models.ForeignKey(
        "registry.Statement", models.PROTECT, null=True, blank=True, related_name="disputes"
    )
    rival = models.OneToOneField(
        "registry.Claim", models.PROTECT, null=True, blank=True, related_name="rival_in"
    )
    opened_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="disputes")
    reason = models.CharField(max_length=500)
    base_revision = models.PositiveIntegerField(null=True, blank=True)
    opened_at = models.DateTimeField()
    after_vote = models.PositiveBigIntegerField(
        default=0, help_text="Key of the newest vote when it was opened: those cast since have a larger one."
    )
    outcome = models.CharField(max_length=9, choices=Outcome, default=Outcome.OPEN)
    contests = models.BooleanField(
        default=False, help_text="It carries a photo, or a second reviewer has joined."
    )
    closed_by = models.ForeignKey(
        "registry.Member",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Null: the votes.",
    )
    closing_reason = models.CharField(max_length=500, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = DisputeQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("outcome", Outcome, "dispute_outcome_known"),
            models.CheckConstraint(
                condition=Q(claim__isnull=False, statement__isnull=True, rival__isnull=False)
                | Q(claim__isnull=True, statement__isnull=False, rival__isnull=True),
                name="dispute_of_claim_or_statement",
            ),
            models.CheckConstraint(
                condition=Q(outcome="open", closed_at=None)
                | (~Q(outcome="open") & Q(closed_at__isnull=False)),
                name="dispute_open_or_closed",
            ),
            models.UniqueConstraint("claim", condition=Q(outcome="open"), name="dispute_one_open_per_claim"),
            models.UniqueConstraint(
                "statement", condition=Q(outcome="open"), name="dispute_one_open_per_statement"
            ),
        ]
        indexes = [models.Index(fields=["outcome", "id"], name="dispute_by_outcome")]

    def __str__(self) -> str:
        return Sentence("dispute of %(it)s", it=str(self.claim or self.statement))


class HeldOutcome(models.TextChoices):
    HELD = "held", _("held for a moderator")
    RELEASED = "released", _("released")
    DECLINED = "declined", _("declined")


class HeldQuerySet(models.QuerySet["HeldDispute"]):
    def held(self) -> HeldQuerySet:
        return self.filter(outcome=HeldOutcome.HELD)


class HeldDispute(Identified):
    """An objection that waits for a moderator, since its opener disputed the same person's records too often lately.

    Seen by its opener and by moderators alone: no rival, no vote, no mark in the record until it is released, and it
    stands in nobody else's way. Written by actions.dispute and actions.held.
    """

    claim = models.ForeignKey("registry.Claim", models.PROTECT, null=True, blank=True, related_name="held")
    state = models.ForeignKey("registry.State", models.PROTECT, null=True, blank=True, related_name="+")
    statement = models.ForeignKey(
        "registry.Statement", models.PROTECT, null=True, blank=True, related_name="held"
    )
    opened_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="held_disputes")
    reason = models.CharField(max_length=500)
    base_revision = models.PositiveIntegerField(null=True, blank=True)
    held_at = models.DateTimeField()
    outcome = models.CharField(max_length=8, choices=HeldOutcome, default=HeldOutcome.HELD)
    decided_by = models.ForeignKey("registry.Member", models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    decline_reason = models.CharField(max_length=300, blank=True)
    released_as = models.OneToOneField(
        Dispute, models.PROTECT, null=True, blank=True, related_name="was_held"
    )

    objects = HeldQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("outcome", HeldOutcome, "held_outcome_known"),
            models.CheckConstraint(
                condition=Q(claim__isnull=False, state__isnull=False, statement=None)
                | Q(claim=None, state=None, statement__isnull=False),
                name="held_of_claim_or_statement",
            ),
            models.CheckConstraint(
                condition=Q(outcome="held", decided_by=None, decided_at=None)
                | (~Q(outcome="held") & Q(decided_by__isnull=False, decided_at__isnull=False)),
                name="held_or_decided",
            ),
            models.CheckConstraint(
                condition=Q(outcome="released", released_as__isnull=False)
                | (~Q(outcome="released") & Q(released_as=None)),
                name="held_released_names_dispute",
            ),
        ]
        indexes = [
            models.Index(fields=["outcome", "id"], name="held_by_outcome"),
            models.Index(fields=["opened_by", "held_at"], name="held_by_opener"),
        ]

    def __str__(self) -> str:
        return Sentence("held dispute of %(it)s", it=str(self.claim or self.statement))
