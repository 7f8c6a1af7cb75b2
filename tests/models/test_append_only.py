"""Revisions, events, policies, editions, the publication log and the journal are only ever added to."""

import pytest
from django.db import IntegrityError, connection, transaction

from registry.models import (
    AppendOnlyError,
    Confusion,
    Edition,
    Fit,
    FitAdoption,
    FitRate,
    JournalEntry,
    ModeratorEvent,
    Policy,
    PublicationEntry,
    Revision,
    TraitAgreement,
)
from registry.models.base import AppendOnly
from tests.factories import NOON, ModeratorFactory, VariantFactory

from .broken_fits import agreed, confused, fit_rate
from .broken_rows import edition, published

MODELS = [Revision, ModeratorEvent, Policy, Edition, PublicationEntry, JournalEntry, Fit, FitRate, Confusion,
          TraitAgreement, FitAdoption]  # fmt: skip
COLUMN = {
    Revision: "reason", ModeratorEvent: "reason", Policy: "version", Edition: "document",
    PublicationEntry: "record", JournalEntry: "verb",
    Fit: "votes", FitRate: "votes", Confusion: "count", TraitAgreement: "votes", FitAdoption: "reason",
}  # fmt: skip
pytestmark = pytest.mark.django_db
each_table = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@pytest.fixture(autouse=True)
def one_row_in_each(db):
    variant, moderator = VariantFactory(), ModeratorFactory()
    ModeratorEvent(variant=variant, kind="restored", reason="r", by=moderator, at=NOON).save()
    JournalEntry.objects.record(by=moderator, verb="variant.restored", about=variant, at=NOON)
    edition(number=1)
    published(1, variant=variant)
    fit_rate()
    confused()
    agreed()
    FitAdoption(fit=Fit.objects.first(), at=NOON, reason="r").save()


def run(statement: str, model: type[AppendOnly]) -> None:
    """The statement, with the names of the model's table and of one of its columns filled in."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(table=model._meta.db_table, column=COLUMN[model]))


def test_no_append_only_model_is_left_out():
    assert set(AppendOnly.__subclasses__()) == set(MODELS)


@each_table
def test_a_row_is_not_saved_again(model):
    row = model.objects.first()
    with pytest.raises(AppendOnlyError, match="never changed"):
        row.save()


@each_table
def test_a_row_is_not_deleted(model):
    row = model.objects.first()
    with pytest.raises(AppendOnlyError, match="never removed"):
        row.delete()


@each_table
def test_rows_are_not_changed_or_removed_together(model):
    row = model.objects.first()
    with pytest.raises(AppendOnlyError):
        model.objects.all().update(**{COLUMN[model]: 7})
    with pytest.raises(AppendOnlyError):
        model.objects.all().delete()
    with pytest.raises(AppendOnlyError):
        model.objects.bulk_update([row], [COLUMN[model]])


@each_table
def test_the_database_refuses_an_update(model):
    kept = list(model.objects.values())
    with pytest.raises(IntegrityError, match="never changed or removed"):
        run("UPDATE {table} SET {column} = {column}", model)
    assert list(model.objects.values()) == kept


@each_table
def test_the_database_refuses_a_delete(model):
    kept = list(model.objects.values())
    with pytest.raises(IntegrityError, match="never changed or removed"):
        run("DELETE FROM {table}", model)
    assert list(model.objects.values()) == kept


def test_an_upsert_is_refused(one_row_in_each):
    row = Revision.objects.get()
    changed = Revision(
        variant=row.variant, number=1, claims=[], title="x", reason="x", at=NOON, digest="1" * 64
    )
    with pytest.raises(IntegrityError, match="never changed or removed"):
        Revision.objects.bulk_create(
            [changed], update_conflicts=True, update_fields=["title"], unique_fields=["variant", "number"]
        )


@pytest.mark.postgres
@each_table
def test_the_database_refuses_to_empty_a_table(model):
    with pytest.raises(IntegrityError, match="never changed or removed"):
        run("SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE {table} CASCADE", model)


def test_a_row_slipped_in_under_another_ones_key_is_refused():
    row = Revision.objects.first()
    twin = Revision(pk=row.pk, variant=row.variant, number=9, parent=row, claims=[], title="t", reason="r",
                    at=row.at, digest="1" * 64)  # fmt: skip
    with pytest.raises(IntegrityError):
        twin.save()
