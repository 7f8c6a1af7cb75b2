"""Fits: what is learnt from votes, which of it was adopted, and under which fit a release was settled."""

import django.db.models.deletion
import django.db.models.expressions
from django.conf import settings
from django.db import migrations, models

TABLES = (
    "registry_fit",
    "registry_fitrate",
    "registry_confusion",
    "registry_traitagreement",
    "registry_fitadoption",
)


def remember_founding(apps, schema_editor):
    """What stands by the founding policy now has stood by it."""
    apps.get_model("registry", "Claim").objects.filter(is_founding=True).update(was_founding=True)


def guard(apps, schema_editor):
    """The function for PostgreSQL is there since 0002."""
    for table in TABLES:
        if schema_editor.connection.vendor == "postgresql":
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


def lift(apps, schema_editor):
    for table in TABLES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"DROP TRIGGER append_only_{table} ON {table}")
            continue
        for deed in ("update", "delete"):
            schema_editor.execute(f"DROP TRIGGER append_only_{table}_{deed}")


class Migration(migrations.Migration):
    dependencies = [
        ("registry", "0004_journal_chain"),
    ]

    operations = [
        migrations.AddField(
            model_name="claim",
            name="was_founding",
            field=models.BooleanField(
                default=False,
                help_text="It once stood only by the founding policy, and the full one has not decided it since.",
            ),
        ),
        migrations.CreateModel(
            name="Fit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveIntegerField(unique=True)),
                ("made_at", models.DateTimeField()),
                ("cut", models.PositiveBigIntegerField(help_text="Key of the newest vote it saw.")),
                ("claims", models.PositiveIntegerField()),
                ("votes", models.PositiveIntegerField()),
                ("reviewers", models.PositiveIntegerField()),
                (
                    "known",
                    models.PositiveIntegerField(
                        help_text="Claims whose answer was given: moderators' rulings."
                    ),
                ),
                (
                    "prior",
                    models.PositiveIntegerField(
                        help_text="Share of claims found true, in millionths; for reading only."
                    ),
                ),
                ("rounds", models.PositiveIntegerField()),
                ("objective", models.FloatField(help_text="Penalised log-likelihood after the last round.")),
                ("converged", models.BooleanField()),
                ("settings", models.JSONField(help_text="The numbers that the learning started with.")),
                (
                    "digest",
                    models.CharField(
                        help_text="SHA-256 over its rates, one canonical line each.", max_length=64
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        help_text="Null: the command line.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "policy",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="fits", to="registry.policy"
                    ),
                ),
            ],
            options={
                "ordering": ["number"],
            },
        ),
        migrations.CreateModel(
            name="Confusion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("count", models.PositiveIntegerField(help_text="Votes.")),
                (
                    "expected",
                    models.PositiveBigIntegerField(help_text="Votes expected on true claims, in millionths."),
                ),
                (
                    "claimed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="registry.state"
                    ),
                ),
                (
                    "seen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="registry.state"
                    ),
                ),
                (
                    "trait",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="registry.trait"
                    ),
                ),
                (
                    "fit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="confusions",
                        to="registry.fit",
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="release",
            name="settled_fit",
            field=models.ForeignKey(
                blank=True,
                help_text="Its standings were decided last under this fit. Null: everybody as the policy says.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="settled_releases",
                to="registry.fit",
            ),
        ),
        migrations.CreateModel(
            name="FitAdoption",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("reason", models.CharField(max_length=300)),
                (
                    "by",
                    models.ForeignKey(
                        help_text="Null: the command line.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "fit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="adoptions",
                        to="registry.fit",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="FitRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("print", "print (tampo)"),
                            ("colour", "colour"),
                            ("finish", "finish"),
                            ("tooling", "tool change"),
                            ("wheel", "wheel"),
                            ("material", "material"),
                            ("part", "part"),
                            ("count", "count"),
                            ("measure", "measure"),
                            ("text", "text"),
                            ("cause", "cause"),
                        ],
                        max_length=8,
                    ),
                ),
                ("in_hand", models.BooleanField()),
                (
                    "sensitivity",
                    models.PositiveIntegerField(help_text="Of true claims, confirmed; millionths."),
                ),
                (
                    "specificity",
                    models.PositiveIntegerField(help_text="Of false claims, contradicted; millionths."),
                ),
                (
                    "votes",
                    models.PositiveIntegerField(
                        help_text="Votes behind it; those on known claims weigh more."
                    ),
                ),
                (
                    "fit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="rates", to="registry.fit"
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fit_rates",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="TraitAgreement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "alpha",
                    models.IntegerField(
                        help_text="Null: everybody said the same, so there is nothing to tell.", null=True
                    ),
                ),
                ("low", models.IntegerField(null=True)),
                ("high", models.IntegerField(null=True)),
                ("units", models.PositiveIntegerField(help_text="Claims with two votes or more.")),
                ("votes", models.PositiveIntegerField(help_text="Votes on those.")),
                (
                    "is_hard",
                    models.BooleanField(help_text="Hard to judge: the whole interval lies below the limit."),
                ),
                (
                    "confused",
                    models.JSONField(
                        default=list,
                        help_text="Pairs of states most often seen for one another: [id or null, id or null, hundredths].",
                    ),
                ),
                (
                    "fit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="agreements",
                        to="registry.fit",
                    ),
                ),
                (
                    "trait",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="agreements",
                        to="registry.trait",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="fit",
            constraint=models.CheckConstraint(
                condition=models.Q(("prior__gt", 0), ("prior__lt", 1000000)), name="fit_prior_in_range"
            ),
        ),
        migrations.AddIndex(
            model_name="confusion",
            index=models.Index(fields=["fit", "trait"], name="confusion_by_trait"),
        ),
        migrations.AddConstraint(
            model_name="confusion",
            constraint=models.UniqueConstraint(
                models.F("fit"), models.F("claimed"), models.F("seen"), name="confusion_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="fitrate",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "",
                            "print",
                            "colour",
                            "finish",
                            "tooling",
                            "wheel",
                            "material",
                            "part",
                            "count",
                            "measure",
                            "text",
                            "cause",
                        ],
                    )
                ),
                name="fit_rate_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="fitrate",
            constraint=models.CheckConstraint(
                condition=models.Q(("sensitivity__gt", 0), ("sensitivity__lt", 1000000)),
                name="fit_rate_sensitivity_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="fitrate",
            constraint=models.CheckConstraint(
                condition=models.Q(("specificity__gt", 0), ("specificity__lt", 1000000)),
                name="fit_rate_specificity_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="fitrate",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "sensitivity__gte",
                        django.db.models.expressions.CombinedExpression(
                            models.Value(1000000), "-", models.F("specificity")
                        ),
                    )
                ),
                name="fit_rate_turns_nobody_round",
            ),
        ),
        migrations.AddConstraint(
            model_name="fitrate",
            constraint=models.UniqueConstraint(
                models.F("fit"),
                models.F("member"),
                models.F("kind"),
                models.F("in_hand"),
                name="fit_rate_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="fitrate",
            constraint=models.UniqueConstraint(
                models.F("fit"),
                models.F("kind"),
                models.F("in_hand"),
                condition=models.Q(("member", None)),
                name="fit_rate_once_for_everybody",
            ),
        ),
        migrations.AddConstraint(
            model_name="traitagreement",
            constraint=models.UniqueConstraint(
                models.F("fit"), models.F("trait"), name="trait_agreement_once"
            ),
        ),
        migrations.RunPython(remember_founding, migrations.RunPython.noop),
        migrations.RunPython(guard, lift),
    ]
