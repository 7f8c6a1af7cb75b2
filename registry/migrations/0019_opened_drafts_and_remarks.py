"""A draft may be opened to others, who remark on its pictures. No draft that exists is open: null says so."""

import django.db.models.deletion
import django.db.models.expressions
from django.conf import settings
from django.db import migrations, models

import registry.models.base


class Migration(migrations.Migration):
    dependencies = [
        ("registry", "0018_gloss_readings"),
    ]

    operations = [
        migrations.CreateModel(
            name="Remark",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("at", models.DateTimeField()),
                ("x", models.PositiveSmallIntegerField(help_text="As of a mark: hundredths of a percent.")),
                ("y", models.PositiveSmallIntegerField()),
                ("w", models.PositiveSmallIntegerField()),
                ("h", models.PositiveSmallIntegerField()),
                ("sentence", models.CharField(blank=True, max_length=200)),
                ("removed_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.AddField(
            model_name="submission",
            name="opened_at",
            field=models.DateTimeField(
                blank=True,
                help_text="Since when others see its pictures and question while it is a draft.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="submission",
            name="question",
            field=models.CharField(
                blank=True, help_text="What was asked when it was opened.", max_length=200
            ),
        ),
        migrations.AddIndex(
            model_name="submission",
            index=models.Index(
                condition=models.Q(("opened_at__isnull", False), ("status", "draft")),
                fields=["opened_at", "id"],
                name="submission_opened",
            ),
        ),
        migrations.AddField(
            model_name="remark",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="remarks",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="remark",
            name="photo",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="remarks", to="registry.photo"
            ),
        ),
        migrations.AddField(
            model_name="remark",
            name="state",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="registry.state",
            ),
        ),
        migrations.AddConstraint(
            model_name="remark",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__isnull", False), models.Q(("sentence", ""), _negated=True), _connector="OR"
                ),
                name="remark_says_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="remark",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("h__gte", 1),
                    ("w__gte", 1),
                    (
                        "x__lte",
                        django.db.models.expressions.CombinedExpression(
                            models.Value(10000), "-", models.F("w")
                        ),
                    ),
                    (
                        "y__lte",
                        django.db.models.expressions.CombinedExpression(
                            models.Value(10000), "-", models.F("h")
                        ),
                    ),
                ),
                name="remark_inside_picture",
            ),
        ),
    ]
