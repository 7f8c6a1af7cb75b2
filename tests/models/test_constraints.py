"""Every named constraint is kept by the database itself, whatever code writes the row."""

import pytest
from django.apps import apps
from django.db import IntegrityError, connection

from .broken_guards import BROKEN_GUARDS
from .broken_photos import BROKEN_PHOTOS
from .broken_rows import BROKEN as BROKEN_ROWS

pytestmark = pytest.mark.django_db
BROKEN = [*BROKEN_ROWS, *BROKEN_GUARDS, *BROKEN_PHOTOS]


def kept_by(error: IntegrityError, name: str) -> bool:
    """SQLite names a check, but of a unique constraint only the columns."""
    if connection.vendor == "postgresql":
        return error.__cause__.diag.constraint_name == name
    return f"CHECK constraint failed: {name}" in str(error) or "UNIQUE constraint failed" in str(error)


@pytest.mark.parametrize(
    ("name", "insert"), BROKEN, ids=[f"{n}-{name}" for n, (name, _) in enumerate(BROKEN)]
)
def test_the_database_refuses_a_row_that_breaks(name, insert):
    with pytest.raises(IntegrityError) as refused:
        insert()
    assert kept_by(refused.value, name)


def test_every_named_constraint_is_tried():
    named = {
        c.name for model in apps.get_app_config("registry").get_models() for c in model._meta.constraints
    }
    assert named == {name for name, _ in BROKEN}


@pytest.mark.parametrize(
    ("noun", "field"),
    [("Member", "email"), ("Member", "name_key"), ("Member", "name_skeleton"),
     ("Token", "digest"), ("Variant", "public_id"),
     ("PublicationEntry", "position"), ("Edition", "number"), ("SearchEntry", "public_id")],
)  # fmt: skip
def test_what_must_be_unique_alone_is_declared_so(noun, field):
    assert apps.get_model("registry", noun)._meta.get_field(field).unique
