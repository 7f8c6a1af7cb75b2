"""The order of the review desk. Rows get their values when their release is next settled: `manage.py recompute`."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("registry", "0007_variant_events")]
    operations = [
        migrations.RemoveIndex(model_name="claim", name="claim_waiting"),
        migrations.AddField(
            model_name="claim",
            name="needs_only_votes",
            field=models.BooleanField(
                default=False, help_text="Its evidence is whole and nothing contests it."
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="owners_counted",
            field=models.PositiveIntegerField(
                default=0, help_text="Of the votes counted, those that name an own photographed example."
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="urgency",
            field=models.PositiveIntegerField(
                default=0,
                help_text="How early the review desk offers it: what a vote is expected to settle, in thousandths.",
            ),
        ),
        migrations.AddIndex(
            model_name="claim",
            index=models.Index(
                fields=["-urgency", "opened_at", "id"],
                condition=models.Q(("closed_at", None)),
                name="claim_queue",
            ),
        ),
    ]
