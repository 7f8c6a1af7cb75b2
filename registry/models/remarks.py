"""What others point out on the pictures of an opened draft."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from registry.sentences import Sentence

from .base import Identified
from .evidence import Submission
from .traits import State


class RemarkQuerySet(models.QuerySet["Remark"]):
    def standing(self) -> RemarkQuerySet:
        return self.filter(removed_at=None, photo__taken_down_at=None)

    def on_opened(self) -> RemarkQuerySet:
        """Those that all can read: their draft is still open to others."""
        return self.filter(photo__submission__in=Submission.objects.opened())


class Remark(Identified):
    """A region of an opened draft's picture, with what a member sees there: a listed state, or a sentence.

    Never evidence: it becomes part of a report only where the draft's author takes it over. Written by actions.opening.
    """

    photo = models.ForeignKey("registry.Photo", models.PROTECT, related_name="remarks")
    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="remarks")
    at = models.DateTimeField()
    x = models.PositiveSmallIntegerField(help_text="As of a mark: hundredths of a percent.")
    y = models.PositiveSmallIntegerField()
    w = models.PositiveSmallIntegerField()
    h = models.PositiveSmallIntegerField()
    state = models.ForeignKey("registry.State", models.PROTECT, null=True, blank=True, related_name="+")
    sentence = models.CharField(max_length=200, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)

    objects = RemarkQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(state__isnull=False) | ~Q(sentence=""), name="remark_says_something"
            ),
            models.CheckConstraint(
                condition=Q(w__gte=1, h__gte=1, x__lte=10_000 - F("w"), y__lte=10_000 - F("h")),
                name="remark_inside_picture",
            ),
        ]

    def __str__(self) -> str:
        if self.seen is None:
            return self.sentence
        named = Sentence("%(trait)s: %(state)s", trait=str(self.seen.trait), state=str(self.seen))
        return Sentence("%(first)s. %(then)s", first=named, then=self.sentence) if self.sentence else named

    @property
    def seen(self) -> State | None:
        """The state that it names, or what that was merged into since."""
        return self.state.survivor if self.state else None

    @property
    def fragment(self) -> str:
        """As a report's mark keeps it."""
        return "percent:" + ",".join(f"{part / 100:g}" for part in (self.x, self.y, self.w, self.h))
