"""One index of everything that can be looked up by words."""

from __future__ import annotations

from django.db import models

from .base import one_of


class SearchKind(models.TextChoices):
    MAKER = "maker", "maker"
    LINE = "line", "line"
    CASTING = "casting", "casting"
    RELEASE = "release", "release"
    ASSORTMENT = "assortment", "assortment"
    PACK = "pack", "pack"
    TRAIT = "trait", "trait"
    STATE = "state", "state"
    VARIANT = "variant", "variant"


class SearchEntry(models.Model):
    """The words of one record, folded to plain lower case. Trigram-indexed on both databases by migration."""

    kind = models.CharField(max_length=10, choices=SearchKind)
    public_id = models.CharField(max_length=12, unique=True)
    title = models.CharField(max_length=160)
    hint = models.CharField(max_length=160, blank=True, help_text="What tells it from its namesakes.")
    words = models.TextField()

    class Meta:
        verbose_name_plural = "search entries"
        constraints = [one_of("kind", SearchKind, "search_entry_kind_known")]

    def __str__(self) -> str:
        return self.title
