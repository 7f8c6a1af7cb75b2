"""What merges, splits and strikes leave behind: which claim took another's place, which variant was split out."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.models import Q

TABLE = "registry_moderatorevent"
KINDS = {
    "struck": "struck",
    "merged": "merged",
    "split": "split",
    "parted": "parted",
    "restored": "restored",
}
REASONS = {
    "customised": "a customised item",
    "hoax": "a hoax",
    "duplicate_photos": "photographs used twice",
    "mistaken": "reported by mistake",
}


def pointer(to, related_name, help_text=""):
    return models.ForeignKey(
        to=to,
        on_delete=django.db.models.deletion.PROTECT,
        null=True,
        blank=True,
        related_name=related_name,
        help_text=help_text,
    )


def guard_again(apps, schema_editor):
    """SQLite changes a table by copying it, and the copy has no triggers: those of 0002 are put back."""
    if schema_editor.connection.vendor != "sqlite":
        return
    for deed in ("UPDATE", "DELETE"):
        name = f"append_only_{TABLE}_{deed.lower()}"
        schema_editor.execute(f"DROP TRIGGER IF EXISTS {name}")
        schema_editor.execute(
            f"CREATE TRIGGER {name} BEFORE {deed} ON {TABLE} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {TABLE} are never changed or removed'); END"
        )


class Migration(migrations.Migration):
    dependencies = [("registry", "0006_guards")]
    operations = [
        migrations.RunPython(migrations.RunPython.noop, guard_again),
        migrations.AddField(
            "claim",
            "merged_into",
            pointer(
                "registry.claim",
                "merged_from",
                "Its variant was merged: the last claim on which its votes and marks count.",
            ),
        ),
        migrations.AddField(
            "variant",
            "split_from",
            pointer("registry.variant", "parts", "The variant that it was a part of."),
        ),
        migrations.RemoveConstraint("moderatorevent", "moderator_event_kind_known"),
        migrations.AddField(
            "moderatorevent",
            "claims",
            models.JSONField(
                default=dict,
                help_text="Of a merge: each claim that closed, to the one that took its place; blank: none did.",
            ),
        ),
        migrations.AddField(
            "moderatorevent",
            "reason_code",
            models.CharField(blank=True, choices=list(REASONS.items()), max_length=16),
        ),
        migrations.AddField("moderatorevent", "seconded_by", pointer(settings.AUTH_USER_MODEL, "+")),
        migrations.AlterField(
            "moderatorevent", "kind", models.CharField(choices=list(KINDS.items()), max_length=8)
        ),
        migrations.AddConstraint(
            "moderatorevent",
            models.CheckConstraint(condition=Q(kind__in=list(KINDS)), name="moderator_event_kind_known"),
        ),
        migrations.AddConstraint(
            "moderatorevent",
            models.CheckConstraint(
                condition=Q(kind="struck", reason_code__in=list(REASONS))
                | (~Q(kind="struck") & Q(reason_code="")),
                name="moderator_event_struck_says_why",
            ),
        ),
        migrations.RunPython(guard_again, migrations.RunPython.noop),
    ]
