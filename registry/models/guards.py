"""What guards the votes' independence: interests, hints of shared addresses, surges, control answers, concerns."""

from __future__ import annotations

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Identified, in_english, one_of
from .votes import Basis, Verdict

INTERESTS = ("maker", "line", "casting", "release")
"""What one may have an interest in."""


class InterestQuerySet(models.QuerySet["Interest"]):
    def held(self) -> InterestQuerySet:
        return self.filter(ended_at=None)

    def touching(self, release: models.Model) -> InterestQuerySet:
        """Interests in the release, or in its casting, line or maker."""
        return self.filter(
            Q(release=release)
            | Q(casting__releases=release)
            | Q(line__releases=release)
            | Q(maker__lines__releases=release)
        )


class Interest(Identified):
    """A member says: I sell this. Their votes on it are kept but do not count. Written by actions.interests."""

    member = models.ForeignKey("registry.Member", models.PROTECT, related_name="interests")
    maker = models.ForeignKey("registry.Maker", models.PROTECT, null=True, blank=True, related_name="+")
    line = models.ForeignKey("registry.Line", models.PROTECT, null=True, blank=True, related_name="+")
    casting = models.ForeignKey("registry.Casting", models.PROTECT, null=True, blank=True, related_name="+")
    release = models.ForeignKey("registry.Release", models.PROTECT, null=True, blank=True, related_name="+")
    declared_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = InterestQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(maker__isnull=False, line=None, casting=None, release=None)
                | Q(maker=None, line__isnull=False, casting=None, release=None)
                | Q(maker=None, line=None, casting__isnull=False, release=None)
                | Q(maker=None, line=None, casting=None, release__isnull=False),
                name="interest_in_one_thing",
            ),
        ] + [
            models.UniqueConstraint(
                "member", target, condition=Q(ended_at=None), name=f"interest_once_per_{target}"
            )
            for target in INTERESTS
        ]

    def __str__(self) -> str:
        return f"{self.member} sells {self.thing}"

    @property
    def thing(self) -> models.Model:
        return next(filter(None, (getattr(self, target) for target in INTERESTS)))


class AddressHint(models.Model):
    """A member voted from an address prefix, known by a keyed digest alone. Kept 30 days; a weak sign, nothing more.

    Written by actions.addresses, for actions.concerns to read. It never discounts a vote.
    """

    member = models.ForeignKey("registry.Member", models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64, db_index=True)
    seen_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint("member", "digest", name="address_hint_once")]

    def __str__(self) -> str:
        return f"{self.member}, {self.digest[:8]}"


class SurgeQuerySet(models.QuerySet["SurgeLock"]):
    def on(self, at: datetime) -> SurgeQuerySet:
        return self.filter(locked_until__gt=at)


class SurgeLock(models.Model):
    """A rush of votes on one claim. Until the lock ends, votes of accounts younger than the rush do not count there."""

    claim = models.ForeignKey("registry.Claim", models.PROTECT, related_name="surge_locks")
    began_at = models.DateTimeField(help_text="The first vote of the rush.")
    locked_until = models.DateTimeField()

    objects = SurgeQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["claim", "locked_until"], name="surge_lock_of_claim")]

    def __str__(self) -> str:
        return f"{self.claim} since {self.began_at:%Y-%m-%d %H:%M}"


class ControlAnswer(models.Model):
    """What a member said to a question whose answer was settled long ago. It never counts as a vote.

    Written by actions.controls, for the fit of reliabilities to read; shown to nobody.
    """

    member = models.ForeignKey("registry.Member", models.PROTECT, related_name="control_answers")
    claim = models.ForeignKey("registry.Claim", models.PROTECT, related_name="control_answers")
    verdict = models.CharField(max_length=11, choices=Verdict)
    basis = models.CharField(max_length=10, choices=Basis)
    truth = models.BooleanField(help_text="The claim was settled as true.")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            one_of("verdict", Verdict, "control_answer_verdict_known"),
            one_of("basis", Basis, "control_answer_basis_known"),
            models.UniqueConstraint("member", "claim", name="control_answer_once"),
        ]

    def __str__(self) -> str:
        return f"{self.member} {self.verdict}"


class ConcernKind(models.TextChoices):
    LOCKSTEP = "lockstep", _("votes in lockstep")
    SURGE = "surge", _("a rush of votes")
    TOLD = "told", _("told by a member")


class ConcernOutcome(models.TextChoices):
    OPEN = "open", _("open")
    UNFOUNDED = "unfounded", _("nothing was wrong")
    LINKED = "linked", _("they belong together, and a link is declared")
    ACTED_ON = "acted_on", _("acted on")


class ConcernQuerySet(models.QuerySet["Concern"]):
    def open(self) -> ConcernQuerySet:
        return self.filter(outcome=ConcernOutcome.OPEN)


class Concern(Identified):
    """Something for a moderator to look into. It changes no standing and closes no account by itself.

    `evidence` holds public ids and whole numbers, no names. Written by actions.concerns.
    """

    kind = models.CharField(max_length=8, choices=ConcernKind)
    members = models.ManyToManyField("registry.Member", related_name="+")
    claim = models.ForeignKey("registry.Claim", models.PROTECT, null=True, blank=True, related_name="+")
    told_by = models.ForeignKey("registry.Member", models.PROTECT, null=True, blank=True, related_name="+")
    fingerprint = models.CharField(max_length=64, help_text="Digest of what it is about: noted once.")
    evidence = models.JSONField(default=dict)
    opened_at = models.DateTimeField()
    outcome = models.CharField(max_length=9, choices=ConcernOutcome, default=ConcernOutcome.OPEN)
    closed_by = models.ForeignKey("registry.Member", models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=300, blank=True)

    objects = ConcernQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("kind", ConcernKind, "concern_kind_known"),
            one_of("outcome", ConcernOutcome, "concern_outcome_known"),
            models.UniqueConstraint("kind", "fingerprint", name="concern_noted_once"),
            models.CheckConstraint(
                condition=Q(kind="told", told_by__isnull=False) | (~Q(kind="told") & Q(told_by=None)),
                name="concern_told_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(outcome="open", closed_at=None, closed_by=None)
                | (~Q(outcome="open") & Q(closed_at__isnull=False, closed_by__isnull=False)),
                name="concern_open_or_closed_by_somebody",
            ),
        ]
        indexes = [models.Index(fields=["outcome", "id"], name="concern_by_outcome")]

    def __str__(self) -> str:
        return in_english(ConcernKind(self.kind).label)

    @property
    def may_end(self) -> list[ConcernOutcome]:
        """What a look into it may find; only a pattern of votes can be explained by a link."""
        never = {ConcernOutcome.OPEN} | ({ConcernOutcome.LINKED} if self.kind == ConcernKind.TOLD else set())
        return [each for each in ConcernOutcome if each not in never]
