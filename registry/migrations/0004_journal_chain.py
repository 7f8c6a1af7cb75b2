"""The journal becomes a chain, its personal words commitments; members can be erased."""

import secrets

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q

from registry.methods.chain import (
    SALT_BYTES,
    Entry,
    commitment,
    linked,
    personal_parts,
    replaced,
)

TABLE = "registry_journalentry"
BATCH = 1000


def lift(apps, schema_editor):
    """The guard of the table is taken off; on SQLite it would be lost anyway when the table is made anew."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(f"DROP TRIGGER append_only_{TABLE} ON {TABLE}")
        return
    for deed in ("update", "delete"):
        schema_editor.execute(f"DROP TRIGGER IF EXISTS append_only_{TABLE}_{deed}")


def guard(apps, schema_editor):
    """As migration 0002 did."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            f"CREATE TRIGGER append_only_{TABLE} BEFORE UPDATE OR DELETE OR TRUNCATE ON {TABLE} "
            "FOR EACH STATEMENT EXECUTE FUNCTION registry_append_only()"
        )
        return
    for deed in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER append_only_{TABLE}_{deed.lower()} BEFORE {deed} ON {TABLE} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {TABLE} are never changed or removed'); END"
        )


def chain(apps, schema_editor):
    """Every line there is, in order of writing: personal words put aside, numbered, linked."""
    Line = apps.get_model("registry", "JournalEntry")
    Secret = apps.get_model("registry", "JournalSecret")
    digest, number = "0" * 64, 0
    lines = Line._base_manager.select_related("by").order_by("pk")
    while batch := list(lines[number : number + BATCH]):
        kept = []
        for line in batch:
            parts = {}
            for path, value in personal_parts(line.detail).items():
                salt = secrets.token_hex(SALT_BYTES)
                kept.append(Secret(entry=line, path=path, salt=salt, value=value))
                parts[path] = {"commitment": commitment(salt, value)}
            line.detail = replaced(line.detail, parts)
        for line, entry in zip(batch, linked(map(plain, batch), digest, number), strict=True):
            line.number, line.previous, line.digest = entry.number, entry.previous, entry.digest
            digest, number = entry.digest, entry.number
        Line._base_manager.bulk_update(batch, ["detail", "number", "previous", "digest"], batch_size=100)
        Secret._base_manager.bulk_create(kept)


def plain(line):
    by = line.by.public_id if line.by else None
    return Entry(0, line.verb, line.about_kind, line.about_id, line.at, by, line.detail)


def unchain(apps, schema_editor):
    """The personal words go back into the lines; those of erased members are gone."""
    Secret = apps.get_model("registry", "JournalSecret")
    for secret in Secret._base_manager.select_related("entry").order_by("entry", "pk").iterator():
        line = secret.entry
        line.refresh_from_db(fields=["detail"])
        said = replaced(line.detail, {secret.path: secret.value})
        type(line)._base_manager.filter(pk=line.pk).update(detail=said)


class Migration(migrations.Migration):
    dependencies = [("registry", "0003_search_by_trigrams")]
    operations = [
        migrations.RunPython(lift, guard),
        migrations.CreateModel(
            name="JournalSecret",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "path",
                    models.CharField(
                        help_text="Where in the detail: keys and places, with dots between.", max_length=120
                    ),
                ),
                ("salt", models.CharField(help_text="Hex.", max_length=64)),
                ("value", models.JSONField()),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="secrets",
                        to="registry.journalentry",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        models.F("entry"), models.F("path"), name="journal_secret_once_per_part"
                    )
                ],
            },
        ),
        migrations.AddField("journalentry", "number", models.PositiveBigIntegerField(null=True)),
        migrations.AddField("journalentry", "previous", models.CharField(max_length=64, default="")),
        migrations.AddField("journalentry", "digest", models.CharField(max_length=64, default="")),
        migrations.RunPython(chain, unchain),
        migrations.AlterField(
            "journalentry",
            "number",
            models.PositiveBigIntegerField(help_text="1, 2, 3 and so on, without a gap.", unique=True),
        ),
        migrations.AlterField(
            "journalentry",
            "previous",
            models.CharField(help_text="Digest of the line before.", max_length=64),
        ),
        migrations.AlterField(
            "journalentry",
            "digest",
            models.CharField(help_text="SHA-256 of the line in canonical JSON.", max_length=64),
        ),
        migrations.AlterModelOptions(
            "journalentry", {"ordering": ["number"], "verbose_name_plural": "journal entries"}
        ),
        migrations.RunPython(guard, lift),
        migrations.AddField(
            "member",
            "erased_at",
            models.DateTimeField(
                blank=True, help_text="When the member had everything personal erased.", null=True
            ),
        ),
        migrations.AddField(
            "member",
            "keeps_credit",
            models.BooleanField(default=False, help_text="An erased member's photographs still name them."),
        ),
        migrations.AddConstraint(
            "member",
            models.CheckConstraint(
                condition=Q(erased_at=None, keeps_credit=False) | Q(erased_at__isnull=False, is_active=False),
                name="member_erased_is_closed",
            ),
        ),
    ]
