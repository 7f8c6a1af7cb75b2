"""Members' verdicts on claims and on statements of order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from .base import one_of
from .variants import Claim


class Verdict(models.TextChoices):
    CONFIRMS = "confirms", _("confirms")
    CONTRADICTS = "contradicts", _("contradicts")
    CANNOT_TELL = "cannot_tell", _("cannot tell")


class Basis(models.TextChoices):
    OWN_SEALED = "own_sealed", _("my own example, sealed")
    OWN_LOOSE = "own_loose", _("my own example, loose")
    PHOTO = "photo", _("the photos only")


class VoteQuerySet(models.QuerySet["Vote"]):
    def current(self) -> VoteQuerySet:
        return self.filter(is_current=True)

    def on(self, claims: Iterable[Any]) -> VoteQuerySet:
        """On the claims, or on those merged into them; `counted_on` is the key of the claim it counts on."""
        votes = self.filter(claim__in=Claim.objects.counting_on(claims))
        return votes.annotate(counted_on=Coalesce("claim__merged_into", "claim"))


class Vote(models.Model):
    """One member's verdict on one claim or statement. Changing or withdrawing it keeps the earlier row.

    Written by actions.vote. Only the votes of reviewers count; whether the voter was one is fixed when voting.
    """

    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="votes")
    claim = models.ForeignKey("registry.Claim", models.PROTECT, null=True, blank=True, related_name="votes")
    statement = models.ForeignKey(
        "registry.Statement", models.PROTECT, null=True, blank=True, related_name="votes"
    )
    verdict = models.CharField(max_length=11, choices=Verdict)
    state_seen = models.ForeignKey("registry.State", models.PROTECT, null=True, blank=True, related_name="+")
    basis = models.CharField(max_length=10, choices=Basis)
    example = models.ForeignKey(
        "registry.Example", models.PROTECT, null=True, blank=True, related_name="votes"
    )
    note = models.CharField(max_length=300, blank=True)
    base_revision = models.PositiveIntegerField(
        null=True, blank=True, help_text="The revision the voter looked at."
    )
    counts = models.BooleanField(help_text="The voter was a reviewer when voting.")
    by_moderator = models.BooleanField(default=False, help_text="The voter was a moderator when voting.")
    at = models.DateTimeField()
    is_current = models.BooleanField(default=True)
    ended_at = models.DateTimeField(null=True, blank=True, help_text="When it was changed or withdrawn.")

    counted_on: int
    """Given by `on` alone."""

    objects = VoteQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("verdict", Verdict, "vote_verdict_known"),
            one_of("basis", Basis, "vote_basis_known"),
            models.CheckConstraint(
                condition=Q(claim__isnull=False, statement__isnull=True)
                | Q(claim__isnull=True, statement__isnull=False),
                name="vote_on_claim_or_statement",
            ),
            models.UniqueConstraint(
                "by", "claim", condition=Q(is_current=True), name="vote_current_once_per_claim"
            ),
            models.UniqueConstraint(
                "by", "statement", condition=Q(is_current=True), name="vote_current_once_per_statement"
            ),
            models.CheckConstraint(
                condition=Q(state_seen=None) | Q(verdict="contradicts"), name="vote_state_seen_contradicts"
            ),
            models.CheckConstraint(
                condition=Q(is_current=True, ended_at=None) | Q(is_current=False, ended_at__isnull=False),
                name="vote_current_or_ended",
            ),
        ]
        indexes = [models.Index(fields=["by", "id"], name="vote_own")]

    def __str__(self) -> str:
        return f"{self.by} {self.verdict}"
