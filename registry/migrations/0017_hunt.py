import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("registry", "0016_colours"),
    ]

    operations = [
        migrations.CreateModel(
            name="Hunt",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "depth",
                    models.CharField(
                        choices=[
                            ("casting", "each casting"),
                            ("release", "each release"),
                            ("change", "each running change"),
                            ("pack", "each running change, and each version of the pack"),
                            ("traits", "each that differs in the details I choose"),
                        ],
                        default="change",
                        max_length=7,
                    ),
                ),
                ("with_errors", models.BooleanField(default=False, help_text="Factory errors too.")),
                ("with_samples", models.BooleanField(default=False, help_text="Pre-production samples too.")),
                ("revision", models.PositiveIntegerField(default=0, help_text="0: nothing was ever chosen.")),
                ("changed_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.AddField(
            model_name="cabinetitem",
            name="wear",
            field=models.CharField(
                blank=True, help_text="Its condition, in the member's own words.", max_length=120
            ),
        ),
        migrations.AddIndex(
            model_name="cabinetitem",
            index=models.Index(fields=["member", "release", "variant"], name="cabinet_by_release"),
        ),
        migrations.AddField(
            model_name="hunt",
            name="lines",
            field=models.ManyToManyField(
                blank=True, help_text="None: every line.", related_name="+", to="registry.line"
            ),
        ),
        migrations.AddField(
            model_name="hunt",
            name="member",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.CASCADE, related_name="hunt", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="hunt",
            name="traits",
            field=models.ManyToManyField(
                blank=True,
                help_text="The details that count, at depth `traits`.",
                related_name="+",
                to="registry.trait",
            ),
        ),
        migrations.AddConstraint(
            model_name="hunt",
            constraint=models.CheckConstraint(
                condition=models.Q(("depth__in", ["casting", "release", "change", "pack", "traits"])),
                name="hunt_depth_known",
            ),
        ),
    ]
