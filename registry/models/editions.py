"""The published list: policies, editions, and the publication log that editions are cut from."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from registry.sentences import Sentence

from .base import AppendOnly, one_of


class Policy(AppendOnly):
    """The numbers by which standing is decided, versioned; each edition names the one it was cut under."""

    version = models.PositiveIntegerField(unique=True)
    numbers = models.JSONField()
    adopted_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "policies"

    def __str__(self) -> str:
        return f"policy {self.version}"


class Edition(AppendOnly):
    """A numbered, dated, immutable publication of the list. Written by actions.publish.

    Number, date and content are fixed here before any file is written; building the files again gives the same bytes.
    """

    number = models.PositiveIntegerField(unique=True)
    issued_at = models.DateTimeField()
    policy = models.ForeignKey(Policy, models.PROTECT, related_name="editions")
    position = models.PositiveBigIntegerField(
        help_text="Last entry of the publication log that belongs to it."
    )
    count = models.PositiveIntegerField(help_text="Records in variants.ndjson.")
    records_digest = models.CharField(max_length=64, help_text="SHA-256 of variants.ndjson, unpacked.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of edition.json.")
    document = models.TextField(help_text="edition.json, canonical.")
    previous = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="next")
    issued_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(number=1, previous=None) | Q(number__gt=1, previous__isnull=False),
                name="edition_names_previous",
            ),
        ]

    def __str__(self) -> str:
        return Sentence("List no. %(number)s", number=self.number)


class PublicationKind(models.TextChoices):
    NEW = "new", _("new")
    CHANGED = "changed", _("changed")
    ENDED = "ended", _("ended")


class PublicationEntry(AppendOnly):
    """One line of the publication log: from this edition on, the variant's published record is this one.

    The state of edition n is, for each variant, its last entry with position up to that edition's.
    """

    position = models.PositiveBigIntegerField(unique=True)
    edition_number = models.PositiveIntegerField(db_index=True)
    variant = models.ForeignKey("registry.Variant", models.PROTECT, related_name="publications")
    variant_public_id = models.CharField(max_length=12)
    revision = models.PositiveIntegerField()
    kind = models.CharField(max_length=7, choices=PublicationKind)
    digest = models.CharField(max_length=64)
    record = models.TextField(help_text="Canonical JSON of the record, or of its fate.")

    class Meta:
        verbose_name_plural = "publication entries"
        constraints = [
            one_of("kind", PublicationKind, "publication_entry_kind_known"),
            models.UniqueConstraint("edition_number", "variant", name="publication_entry_once_per_edition"),
        ]
        indexes = [models.Index(fields=["variant", "-position"], name="publication_by_variant")]

    def __str__(self) -> str:
        return f"{self.position}: {self.kind} {self.variant_public_id}"
