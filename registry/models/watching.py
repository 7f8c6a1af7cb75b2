"""What members follow, and what happened that they may want to hear of."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Identified, one_of
from .catalogue import Release


class FeedEventKind(models.TextChoices):
    SPOTTED = "spotted", _("spotted")
    VERIFIED = "verified", _("verified")
    CONTESTED = "contested", _("contested")
    SET_APART = "set_apart", _("set apart")
    PULLED = "pulled", _("pulled from sale")


class FeedEventQuerySet(models.QuerySet["FeedEvent"]):
    def within(self, kind: str, thing: int) -> FeedEventQuerySet:
        """Events of everything in one line, casting or assortment, named by its kind and key."""
        if kind == "line":
            return self.filter(line=thing)
        narrow = {"casting": Q(casting=thing), "assortment": Q(assortments=thing)}
        return self.filter(release__in=Release.objects.filter(narrow[kind]).values("pk"))


class FeedEvent(models.Model):
    """One thing that happened to a release or to a variant of it. Written by actions.feed, inside other actions."""

    kind = models.CharField(max_length=9, choices=FeedEventKind)
    line = models.ForeignKey("registry.Line", models.PROTECT, related_name="+")
    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="feed_events")
    variant = models.ForeignKey(
        "registry.Variant",
        models.PROTECT,
        null=True,
        related_name="feed_events",
        help_text="Null: all of it.",
    )
    at = models.DateTimeField()

    objects = FeedEventQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        constraints = [
            one_of("kind", FeedEventKind, "feed_event_kind_known"),
            models.CheckConstraint(
                condition=Q(kind="pulled") | Q(variant__isnull=False), name="feed_event_names_variant"
            ),
        ]
        indexes = [
            models.Index(fields=["release", "id"], name="feed_event_by_release"),
            models.Index(fields=["line", "id"], name="feed_event_by_line"),
        ]

    def __str__(self) -> str:
        return f"{self.variant or self.release}: {self.get_kind_display()}"


class WatchQuerySet(models.QuerySet["Watch"]):
    def of(self, kind: str, thing: int) -> WatchQuerySet:
        return self.filter(**{kind: thing})


class Watch(Identified):
    """A member follows a casting, an assortment or a whole line. Nobody else sees it. Written by actions.watch."""

    member = models.ForeignKey("registry.Member", models.CASCADE, related_name="watches")
    casting = models.ForeignKey("registry.Casting", models.CASCADE, null=True, blank=True, related_name="+")
    assortment = models.ForeignKey(
        "registry.Assortment", models.CASCADE, null=True, blank=True, related_name="+"
    )
    line = models.ForeignKey("registry.Line", models.CASCADE, null=True, blank=True, related_name="+")
    by_mail = models.BooleanField(default=False, help_text="Also told by e-mail, in one message a day.")
    seen_up_to = models.PositiveBigIntegerField(help_text="Newest event that the member has been shown.")
    mailed_up_to = models.PositiveBigIntegerField(help_text="Newest event that a message has told of.")
    added_at = models.DateTimeField()

    objects = WatchQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "watches"
        constraints = [
            models.CheckConstraint(
                condition=Q(casting__isnull=False, assortment=None, line=None)
                | Q(casting=None, assortment__isnull=False, line=None)
                | Q(casting=None, assortment=None, line__isnull=False),
                name="watch_follows_one_thing",
            ),
            models.UniqueConstraint("member", "casting", name="watch_casting_once"),
            models.UniqueConstraint("member", "assortment", name="watch_assortment_once"),
            models.UniqueConstraint("member", "line", name="watch_line_once"),
        ]
        indexes = [models.Index(fields=["id"], condition=Q(by_mail=True), name="watch_by_mail")]

    def __str__(self) -> str:
        return str(self.subject)

    @property
    def kind(self) -> str:
        return "casting" if self.casting_id else "assortment" if self.assortment_id else "line"

    @property
    def subject(self) -> Identified:
        """The casting, assortment or line that is followed."""
        followed = self.casting or self.assortment or self.line
        assert followed is not None
        return followed
