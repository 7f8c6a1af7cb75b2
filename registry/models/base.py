"""Shapes that several models share: public ids, closed choices, append-only tables, proposals."""

from __future__ import annotations

from typing import Any, ClassVar, Generic, Self, TypeVar

from django.db import models
from django.db.models import Q
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from registry.methods.identifiers import mint, show_id
from registry.sentences import Sentence

M = TypeVar("M", bound=models.Model)


class PublicIdField(models.CharField):
    """A random public id of 12 symbols, the last one a check symbol; never reused, never derived from content.

    2.5e16 ids are possible: a collision is met by the unique index, and the request that drew it is refused whole.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs |= {"max_length": 12, "unique": True, "default": mint, "editable": False}
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> Any:
        name, path, args, kwargs = super().deconstruct()
        for fixed in ("max_length", "unique", "default", "editable"):
            kwargs.pop(fixed, None)
        return name, path, args, kwargs


class SentencesField(models.JSONField):
    """A list of sentences, kept by their parts so that each reader reads them in their own language."""

    def deconstruct(self) -> Any:
        """To the database, and so to migrations, it is plain JSON."""
        name, _, args, kwargs = super().deconstruct()
        return name, "django.db.models.JSONField", args, kwargs

    def from_db_value(self, value: Any, expression: Any, connection: Any) -> Any:
        kept = super().from_db_value(value, expression, connection)
        return kept if kept is None else [Sentence.of(parts) for parts in kept]

    def get_prep_value(self, value: Any) -> Any:
        if isinstance(value, list):
            return [one.parts() if isinstance(one, Sentence) else one for one in value]
        return super().get_prep_value(value)


class Identified(models.Model):
    """A row the outside world may name."""

    public_id = PublicIdField()

    class Meta:
        abstract = True

    @property
    def shown_id(self) -> str:
        """The public id in groups of four, for people to read aloud."""
        return show_id(self.public_id)


class PartlyOurs(models.Model):
    """One column holds words of ours in some rows: kept in English, and read in the reader's language."""

    ours: ClassVar[tuple[str, str, Any]]
    """That column, and which other one holds what in those rows."""

    class Meta:
        abstract = True

    @classmethod
    def from_db(cls, *row: Any, **how: Any) -> Self:
        read = super().from_db(*row, **how)
        words, sign, value = cls.ours
        kept = read.__dict__  # a column that was not asked for is not asked for here
        if words in kept and kept.get(sign) == value:
            setattr(read, words, Sentence(kept[words]))
        return read


def in_english(label: object) -> Sentence:
    """A label of a closed list for what is kept, whoever reads just now; on a page it is in the reader's language."""
    with translation.override("en"):
        return Sentence(str(label))


def one_of(field: str, choices: type[models.TextChoices], name: str) -> models.CheckConstraint:
    """The database itself refuses a word that is not in the list."""
    return models.CheckConstraint(condition=Q(**{f"{field}__in": choices.values}), name=name)


class AppendOnlyError(TypeError):
    """Code tried to change or remove a row of an append-only table."""


class AppendOnlyQuerySet(models.QuerySet[M], Generic[M]):
    def update(self, **kwargs: Any) -> int:
        raise AppendOnlyError(f"{self.model.__name__} rows are never changed")

    def delete(self) -> Any:
        raise AppendOnlyError(f"{self.model.__name__} rows are never removed")

    def bulk_update(self, *args: Any, **kwargs: Any) -> int:
        raise AppendOnlyError(f"{self.model.__name__} rows are never changed")


class AppendOnly(models.Model):
    """Rows are only ever added; a trigger on either database backs what this class refuses."""

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise AppendOnlyError(f"{type(self).__name__} rows are never changed")
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> Any:
        raise AppendOnlyError(f"{type(self).__name__} rows are never removed")


class Acceptance(models.TextChoices):
    ACCEPTED = "accepted", _("accepted")
    PROPOSED = "proposed", _("proposed")
    MERGED = "merged", _("merged")


class ProposableQuerySet(models.QuerySet[M], Generic[M]):
    def current(self) -> ProposableQuerySet[M]:
        """What may be used: accepted, or proposed and waiting."""
        return self.exclude(acceptance=Acceptance.MERGED)

    def proposed(self) -> ProposableQuerySet[M]:
        return self.filter(acceptance=Acceptance.PROPOSED)


class Proposable(Identified):
    """A catalogue row that a submission may propose: usable at once, until a moderator accepts or merges it."""

    acceptance = models.CharField(max_length=8, choices=Acceptance, default=Acceptance.ACCEPTED)
    proposed_by = models.ForeignKey(
        "registry.Member", models.PROTECT, null=True, blank=True, related_name="proposed_%(class)ss"
    )
    merged_into = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="merged_from",
        help_text="Resolved on reading.",
    )

    objects = ProposableQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = [
            one_of("acceptance", Acceptance, "%(class)s_acceptance_known"),
            models.CheckConstraint(
                condition=Q(acceptance=Acceptance.MERGED, merged_into__isnull=False)
                | (~Q(acceptance=Acceptance.MERGED) & Q(merged_into__isnull=True)),
                name="%(class)s_merged_names_survivor",
            ),
        ]
        indexes = [
            models.Index(
                fields=["id"], condition=Q(acceptance=Acceptance.PROPOSED), name="%(class)s_waiting"
            ),
        ]

    @property
    def is_accepted(self) -> bool:
        return self.acceptance == Acceptance.ACCEPTED

    @property
    def survivor(self) -> Any:
        """The row that stands for this one; merges point straight at the last survivor."""
        return self.merged_into or self
