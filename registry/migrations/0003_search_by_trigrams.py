"""Three-letter pieces of every searchable word are indexed, so that a search never reads the whole table."""

from django.db import migrations

POSTGRESQL = [
    "CREATE EXTENSION IF NOT EXISTS pg_trgm",
    "CREATE INDEX search_entry_words ON registry_searchentry USING gin (words gin_trgm_ops)",
]
POSTGRESQL_BACK = ["DROP INDEX search_entry_words"]

SQLITE = [
    "CREATE VIRTUAL TABLE registry_searchwords USING fts5("
    "words, content='registry_searchentry', content_rowid='id', tokenize='trigram')",
    "CREATE TRIGGER search_entry_added AFTER INSERT ON registry_searchentry BEGIN "
    "INSERT INTO registry_searchwords(rowid, words) VALUES (new.id, new.words); END",
    "CREATE TRIGGER search_entry_removed AFTER DELETE ON registry_searchentry BEGIN "
    "INSERT INTO registry_searchwords(registry_searchwords, rowid, words) VALUES ('delete', old.id, old.words); END",
    "CREATE TRIGGER search_entry_changed AFTER UPDATE ON registry_searchentry BEGIN "
    "INSERT INTO registry_searchwords(registry_searchwords, rowid, words) VALUES ('delete', old.id, old.words); "
    "INSERT INTO registry_searchwords(rowid, words) VALUES (new.id, new.words); END",
]
SQLITE_BACK = [
    "DROP TRIGGER search_entry_added",
    "DROP TRIGGER search_entry_removed",
    "DROP TRIGGER search_entry_changed",
    "DROP TABLE registry_searchwords",
]


def install(apps, schema_editor):
    for statement in POSTGRESQL if schema_editor.connection.vendor == "postgresql" else SQLITE:
        schema_editor.execute(statement)


def remove(apps, schema_editor):
    for statement in POSTGRESQL_BACK if schema_editor.connection.vendor == "postgresql" else SQLITE_BACK:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("registry", "0002_append_only")]
    operations = [migrations.RunPython(install, remove)]
