"""One index of everything that can be looked up by words."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import PartlyOurs, one_of


class SearchKind(models.TextChoices):
    MAKER = "maker", _("maker")
    LINE = "line", _("line")
    CASTING = "casting", _("casting")
    RELEASE = "release", _("release")
    ASSORTMENT = "assortment", _("assortment")
    PACK = "pack", _("pack")
    TRAIT = "trait", _("trait")
    STATE = "state", _("state")
    VARIANT = "variant", _("variant")


class SearchEntry(PartlyOurs):
    """The words of one record, folded to plain lower case. Trigram-indexed on both databases by migration."""

    ours = ("hint", "kind", SearchKind.PACK)
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
