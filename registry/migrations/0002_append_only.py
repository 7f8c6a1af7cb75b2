"""The database refuses to change or remove rows of append-only tables, whatever program asks."""

from django.db import migrations

TABLES = (
    "registry_revision",
    "registry_moderatorevent",
    "registry_policy",
    "registry_edition",
    "registry_publicationentry",
    "registry_journalentry",
)

POSTGRESQL_FUNCTION = """
CREATE FUNCTION registry_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'rows of % are never changed or removed', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$
"""


def install(apps, schema_editor):
    vendor = schema_editor.connection.vendor
    if vendor == "postgresql":
        schema_editor.execute(POSTGRESQL_FUNCTION, params=None)
    for table in TABLES:
        if vendor == "postgresql":
            schema_editor.execute(
                f"CREATE TRIGGER append_only_{table} BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION registry_append_only()"
            )
            continue
        for deed in ("UPDATE", "DELETE"):
            schema_editor.execute(
                f"CREATE TRIGGER append_only_{table}_{deed.lower()} BEFORE {deed} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed or removed'); END"
            )


def remove(apps, schema_editor):
    vendor = schema_editor.connection.vendor
    for table in TABLES:
        if vendor == "postgresql":
            schema_editor.execute(f"DROP TRIGGER append_only_{table} ON {table}")
            continue
        for deed in ("update", "delete"):
            schema_editor.execute(f"DROP TRIGGER append_only_{table}_{deed}")
    if vendor == "postgresql":
        schema_editor.execute("DROP FUNCTION registry_append_only()")


class Migration(migrations.Migration):
    dependencies = [("registry", "0001_first")]
    operations = [migrations.RunPython(install, remove)]
