"""What pictures look like by number, and which were found to be alike. Written by actions.likenesses."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from .base import one_of
from .evidence import Photo


class PhotoHash(models.Model):
    """A perceptual hash of a photo or of a tile of it, with the bands by which near ones are looked up.

    A picture of nothing has none. See `methods.photo_hash`.
    """

    photo = models.ForeignKey(Photo, models.CASCADE, related_name="hashes", db_index=False)
    tile = models.PositiveSmallIntegerField(
        help_text="0: the whole picture; else the place in TILES, from 1."
    )
    bits = models.BigIntegerField(help_text="64 bits, as a number with sign.")
    first = models.PositiveIntegerField(db_index=True, help_text="Highest band; of a tile, with its offset.")
    second = models.PositiveIntegerField(db_index=True)
    third = models.PositiveIntegerField(db_index=True)

    class Meta:
        verbose_name_plural = "photo hashes"
        constraints = [models.UniqueConstraint("photo", "tile", name="photo_hash_once_per_tile")]

    def __str__(self) -> str:
        return f"tile {self.tile} of photo {self.photo_id}"


class LikenessKind(models.TextChoices):
    SAME_FILE = "same_file", _("the same file")
    LOOKS_ALIKE = "looks_alike", _("looks alike")
    LIKE_A_PART = "like_a_part", _("looks like a part of it")


class Likeness(models.Model):
    """Two photos found to be the same file or to look alike. A hint for people: nothing follows from it by itself.

    Photos of drafts are compared too; who may be shown the pair is for `queries.likenesses` to say.
    """

    photo = models.ForeignKey(
        Photo, models.CASCADE, related_name="likenesses", db_index=False, help_text="Came later."
    )
    earlier = models.ForeignKey(Photo, models.CASCADE, related_name="later_likenesses")
    kind = models.CharField(max_length=11, choices=LikenessKind)
    distance = models.PositiveSmallIntegerField(help_text="Bits of 64 in which the hashes differ.")

    class Meta:
        verbose_name_plural = "likenesses"
        constraints = [
            one_of("kind", LikenessKind, "likeness_kind_known"),
            models.UniqueConstraint("photo", "earlier", name="likeness_once"),
            models.CheckConstraint(condition=Q(earlier__lt=F("photo")), name="likeness_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.photo_id} and {self.earlier_id}: {self.get_kind_display()}"
