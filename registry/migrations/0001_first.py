import django.db.models.deletion
import django.db.models.expressions
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

import registry.models.base


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
    ]

    operations = [
        migrations.CreateModel(
            name="Maker",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("name", models.CharField(max_length=80, unique=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Line",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("name", models.CharField(max_length=80)),
                ("scale", models.PositiveSmallIntegerField(help_text="The n of 1:n.")),
                (
                    "maker",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="registry.maker"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(models.F("maker"), models.F("name"), name="line_once_per_maker"),
                    models.CheckConstraint(condition=models.Q(("scale__gte", 1)), name="line_scale_positive"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Policy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("version", models.PositiveIntegerField(unique=True)),
                ("numbers", models.JSONField()),
                ("adopted_at", models.DateTimeField()),
            ],
            options={
                "verbose_name_plural": "policies",
            },
        ),
        migrations.CreateModel(
            name="Member",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                (
                    "is_superuser",
                    models.BooleanField(
                        default=False,
                        help_text="Designates that this user has all permissions without explicitly assigning them.",
                        verbose_name="superuser status",
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("email", models.EmailField(max_length=254, unique=True)),
                ("display_name", models.CharField(max_length=40, unique=True)),
                ("name_key", models.CharField(editable=False, max_length=120, unique=True)),
                (
                    "is_active",
                    models.BooleanField(default=True, help_text="A suspended account can sign in nowhere."),
                ),
                (
                    "is_staff",
                    models.BooleanField(default=False, help_text="May open the read-mostly admin pages."),
                ),
                ("joined_at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "groups",
                    models.ManyToManyField(
                        blank=True,
                        help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.group",
                        verbose_name="groups",
                    ),
                ),
                (
                    "user_permissions",
                    models.ManyToManyField(
                        blank=True,
                        help_text="Specific permissions for this user.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.permission",
                        verbose_name="user permissions",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Casting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "acceptance",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("proposed", "proposed"), ("merged", "merged")],
                        default="accepted",
                        max_length=8,
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                (
                    "what",
                    models.CharField(
                        blank=True, help_text="What it is, in words: salt lorry.", max_length=80
                    ),
                ),
                ("nicknames", models.JSONField(blank=True, default=list)),
                (
                    "subject",
                    models.CharField(
                        blank=True, help_text="The full-size subject, where there is one.", max_length=120
                    ),
                ),
                (
                    "wheelbase_um",
                    models.PositiveIntegerField(
                        blank=True, help_text="Micrometres, on the model.", null=True
                    ),
                ),
                (
                    "merged_into",
                    models.ForeignKey(
                        blank=True,
                        help_text="Resolved on reading.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged_from",
                        to="registry.casting",
                    ),
                ),
                (
                    "proposed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="proposed_%(class)ss",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "maker",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="castings",
                        to="registry.maker",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        condition=models.Q(("acceptance", "proposed")), fields=["id"], name="casting_waiting"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("acceptance__in", ["accepted", "proposed", "merged"])),
                        name="casting_acceptance_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("acceptance", "merged"), ("merged_into__isnull", False)),
                            models.Q(
                                models.Q(("acceptance", "merged"), _negated=True),
                                ("merged_into__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="casting_merged_names_survivor",
                    ),
                    models.UniqueConstraint(
                        models.F("maker"),
                        models.F("name"),
                        condition=models.Q(("acceptance", "merged"), _negated=True),
                        name="casting_once_per_maker",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MemberLink",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("declared_at", models.DateTimeField()),
                (
                    "declared_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "first",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "second",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("first__lt", models.F("second"))), name="member_link_ordered"
                    ),
                    models.UniqueConstraint(models.F("first"), models.F("second"), name="member_link_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Edition",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveIntegerField(unique=True)),
                ("issued_at", models.DateTimeField()),
                (
                    "position",
                    models.PositiveBigIntegerField(
                        help_text="Last entry of the publication log that belongs to it."
                    ),
                ),
                ("count", models.PositiveIntegerField(help_text="Records in variants.ndjson.")),
                (
                    "records_digest",
                    models.CharField(help_text="SHA-256 of variants.ndjson, unpacked.", max_length=64),
                ),
                ("digest", models.CharField(help_text="SHA-256 of edition.json.", max_length=64)),
                ("document", models.TextField(help_text="edition.json, canonical.")),
                (
                    "issued_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "previous",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="next",
                        to="registry.edition",
                    ),
                ),
                (
                    "policy",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="editions",
                        to="registry.policy",
                    ),
                ),
            ],
            options={
                "ordering": ["number"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("number", 1), ("previous", None)),
                            models.Q(("number__gt", 1), ("previous__isnull", False)),
                            _connector="OR",
                        ),
                        name="edition_names_previous",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Release",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "acceptance",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("proposed", "proposed"), ("merged", "merged")],
                        default="accepted",
                        max_length=8,
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                ("number", models.CharField(blank=True, max_length=40)),
                ("year", models.PositiveSmallIntegerField()),
                ("livery", models.CharField(blank=True, max_length=120)),
                ("nicknames", models.JSONField(blank=True, default=list)),
                (
                    "eligible_reviewers",
                    models.PositiveIntegerField(
                        default=0,
                        help_text="Reviewers who are neither authors nor photo owners of the release's submissions.",
                    ),
                ),
                (
                    "is_founding",
                    models.BooleanField(default=True, help_text="Judged with the founding policy, openly."),
                ),
                (
                    "sealed_unobtainable",
                    models.BooleanField(
                        default=False, help_text="A moderator has marked sealed examples as not to be had."
                    ),
                ),
                (
                    "casting",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="releases",
                        to="registry.casting",
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="releases",
                        to="registry.line",
                    ),
                ),
                (
                    "merged_into",
                    models.ForeignKey(
                        blank=True,
                        help_text="Resolved on reading.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged_from",
                        to="registry.release",
                    ),
                ),
                (
                    "proposed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="proposed_%(class)ss",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "reissue_of",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reissues",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        condition=models.Q(("acceptance", "proposed")), fields=["id"], name="release_waiting"
                    ),
                    models.Index(fields=["eligible_reviewers"], name="release_eligible"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("acceptance__in", ["accepted", "proposed", "merged"])),
                        name="release_acceptance_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("acceptance", "merged"), ("merged_into__isnull", False)),
                            models.Q(
                                models.Q(("acceptance", "merged"), _negated=True),
                                ("merged_into__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="release_merged_names_survivor",
                    ),
                    models.UniqueConstraint(
                        models.F("line"),
                        models.F("casting"),
                        models.F("name"),
                        models.F("number"),
                        models.F("year"),
                        models.F("livery"),
                        condition=models.Q(("acceptance", "merged"), _negated=True),
                        name="release_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("year__gte", 1900), ("year__lte", 2200)),
                        name="release_year_plausible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Example",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "condition",
                    models.CharField(
                        choices=[("sealed", "sealed"), ("boxed", "boxed"), ("loose", "loose")], max_length=6
                    ),
                ),
                (
                    "found_case",
                    models.CharField(
                        blank=True, help_text="What tells the shipping case apart.", max_length=40
                    ),
                ),
                (
                    "found_shop",
                    models.CharField(
                        blank=True, help_text="The kind or chain of shop, no address.", max_length=60
                    ),
                ),
                ("found_month", models.DateField(blank=True, help_text="First day of the month.", null=True)),
                ("country", models.CharField(blank=True, help_text="ISO 3166-1 alpha-2.", max_length=2)),
                (
                    "region",
                    models.CharField(blank=True, help_text="A wide region, never finer.", max_length=60),
                ),
                ("added_at", models.DateTimeField()),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        blank=True,
                        help_text="Null: unknown.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="examples",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="examples",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("condition__in", ["sealed", "boxed", "loose"])),
                        name="example_condition_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="RoleGrant",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "role",
                    models.CharField(
                        choices=[("reviewer", "reviewer"), ("moderator", "moderator")], max_length=9
                    ),
                ),
                ("granted_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "granted_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="role_grants",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("role__in", ["reviewer", "moderator"])),
                        name="role_grant_role_known",
                    ),
                    models.UniqueConstraint(
                        models.F("member"),
                        models.F("role"),
                        condition=models.Q(("revoked_at", None)),
                        name="role_grant_held_once",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SearchEntry",
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
                        choices=[
                            ("maker", "maker"),
                            ("line", "line"),
                            ("casting", "casting"),
                            ("release", "release"),
                            ("assortment", "assortment"),
                            ("pack", "pack"),
                            ("trait", "trait"),
                            ("state", "state"),
                            ("variant", "variant"),
                        ],
                        max_length=10,
                    ),
                ),
                ("public_id", models.CharField(max_length=12, unique=True)),
                ("title", models.CharField(max_length=160)),
                (
                    "hint",
                    models.CharField(
                        blank=True, help_text="What tells it from its namesakes.", max_length=160
                    ),
                ),
                ("words", models.TextField()),
            ],
            options={
                "verbose_name_plural": "search entries",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                [
                                    "maker",
                                    "line",
                                    "casting",
                                    "release",
                                    "assortment",
                                    "pack",
                                    "trait",
                                    "state",
                                    "variant",
                                ],
                            )
                        ),
                        name="search_entry_kind_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Token",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "name",
                    models.CharField(
                        help_text="What the token is for, in the member's words.", max_length=60
                    ),
                ),
                ("digest", models.CharField(max_length=64, unique=True)),
                (
                    "hint",
                    models.CharField(
                        help_text="The first symbols, so that a member can tell tokens apart.", max_length=12
                    ),
                ),
                ("scopes", models.JSONField(help_text="A list of Scope values.")),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                (
                    "last_used_at",
                    models.DateTimeField(blank=True, help_text="Written at most hourly.", null=True),
                ),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="tokens",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("expires_at__gt", models.F("created_at"))),
                        name="token_expires_after_creation",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Trait",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "acceptance",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("proposed", "proposed"), ("merged", "merged")],
                        default="accepted",
                        max_length=8,
                    ),
                ),
                ("key", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=80)),
                ("nicknames", models.JSONField(blank=True, default=list)),
                (
                    "place",
                    models.CharField(
                        choices=[
                            ("body", "body"),
                            ("front", "front"),
                            ("rear", "rear"),
                            ("left_side", "left side"),
                            ("right_side", "right side"),
                            ("roof", "roof"),
                            ("bonnet", "bonnet"),
                            ("tailgate", "tailgate"),
                            ("cargo", "load area"),
                            ("window", "windows"),
                            ("windscreen", "windscreen"),
                            ("interior", "interior"),
                            ("base", "base"),
                            ("front_wheel", "front wheels"),
                            ("rear_wheel", "rear wheels"),
                            ("tyre", "tyres"),
                            ("axle", "axles"),
                            ("rivet", "rivets"),
                            ("whole", "whole item"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "kind",
                    models.CharField(
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
                ("how_to_inspect", models.CharField(blank=True, max_length=300)),
                ("seen_in_pack", models.BooleanField(default=False, verbose_name="in the blister or box")),
                (
                    "alterable",
                    models.BooleanField(
                        default=False,
                        help_text="Can be swapped, peeled, wiped, repainted, faded or yellowed afterwards.",
                    ),
                ),
                (
                    "casting",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="traits",
                        to="registry.casting",
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="traits",
                        to="registry.line",
                    ),
                ),
                (
                    "merged_into",
                    models.ForeignKey(
                        blank=True,
                        help_text="Resolved on reading.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged_from",
                        to="registry.trait",
                    ),
                ),
                (
                    "proposed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="proposed_%(class)ss",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        condition=models.Q(("acceptance", "proposed")), fields=["id"], name="trait_waiting"
                    ),
                    models.Index(fields=["key"], name="trait_by_key"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("acceptance__in", ["accepted", "proposed", "merged"])),
                        name="trait_acceptance_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("acceptance", "merged"), ("merged_into__isnull", False)),
                            models.Q(
                                models.Q(("acceptance", "merged"), _negated=True),
                                ("merged_into__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="trait_merged_names_survivor",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "place__in",
                                [
                                    "body",
                                    "front",
                                    "rear",
                                    "left_side",
                                    "right_side",
                                    "roof",
                                    "bonnet",
                                    "tailgate",
                                    "cargo",
                                    "window",
                                    "windscreen",
                                    "interior",
                                    "base",
                                    "front_wheel",
                                    "rear_wheel",
                                    "tyre",
                                    "axle",
                                    "rivet",
                                    "whole",
                                ],
                            )
                        ),
                        name="trait_place_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                [
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
                        name="trait_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("casting__isnull", True), ("line__isnull", False)),
                            models.Q(("casting__isnull", False), ("line__isnull", True)),
                            models.Q(("casting__isnull", True), ("kind", "cause"), ("line__isnull", True)),
                            _connector="OR",
                        ),
                        name="trait_of_line_or_casting",
                    ),
                    models.UniqueConstraint(
                        models.F("line"), models.F("key"), name="trait_key_once_per_line"
                    ),
                    models.UniqueConstraint(
                        models.F("casting"), models.F("key"), name="trait_key_once_per_casting"
                    ),
                    models.UniqueConstraint(
                        models.F("key"),
                        condition=models.Q(("casting__isnull", True), ("line__isnull", True)),
                        name="trait_key_once_built_in",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="State",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "acceptance",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("proposed", "proposed"), ("merged", "merged")],
                        default="accepted",
                        max_length=8,
                    ),
                ),
                ("key", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=80)),
                ("nicknames", models.JSONField(blank=True, default=list)),
                ("is_built_in", models.BooleanField(default=False)),
                (
                    "is_absence",
                    models.BooleanField(
                        default=False,
                        help_text="The print or part is missing; a missing print is always alterable.",
                    ),
                ),
                (
                    "lab_l",
                    models.IntegerField(
                        blank=True, help_text="CIELAB L* under D50, in hundredths.", null=True
                    ),
                ),
                (
                    "lab_a",
                    models.IntegerField(
                        blank=True, help_text="CIELAB a* under D50, in hundredths.", null=True
                    ),
                ),
                (
                    "lab_b",
                    models.IntegerField(
                        blank=True, help_text="CIELAB b* under D50, in hundredths.", null=True
                    ),
                ),
                (
                    "lab_tolerance",
                    models.PositiveIntegerField(blank=True, help_text="CIEDE2000, in hundredths.", null=True),
                ),
                (
                    "number",
                    models.BigIntegerField(
                        blank=True, help_text="Lengths in micrometres, else a count.", null=True
                    ),
                ),
                ("number_tolerance", models.PositiveBigIntegerField(blank=True, null=True)),
                (
                    "unit",
                    models.CharField(
                        blank=True, help_text="um, count or another unit of `number`.", max_length=8
                    ),
                ),
                (
                    "merged_into",
                    models.ForeignKey(
                        blank=True,
                        help_text="Resolved on reading.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged_from",
                        to="registry.state",
                    ),
                ),
                (
                    "proposed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="proposed_%(class)ss",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "trait",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="states",
                        to="registry.trait",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        condition=models.Q(("acceptance", "proposed")), fields=["id"], name="state_waiting"
                    ),
                    models.Index(fields=["key"], name="state_by_key"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("acceptance__in", ["accepted", "proposed", "merged"])),
                        name="state_acceptance_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("acceptance", "merged"), ("merged_into__isnull", False)),
                            models.Q(
                                models.Q(("acceptance", "merged"), _negated=True),
                                ("merged_into__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="state_merged_names_survivor",
                    ),
                    models.UniqueConstraint(
                        models.F("trait"), models.F("key"), name="state_key_once_per_trait"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("lab_a", None), ("lab_b", None), ("lab_l", None)),
                            models.Q(
                                ("lab_a__isnull", False), ("lab_b__isnull", False), ("lab_l__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="state_colour_whole_or_absent",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("lab_l", None),
                            models.Q(("lab_l__gte", 0), ("lab_l__lte", 10000)),
                            _connector="OR",
                        ),
                        name="state_lightness_in_range",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("number", None), models.Q(("unit", ""), _negated=True), _connector="OR"
                        ),
                        name="state_number_has_unit",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Drift",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("low", models.BigIntegerField(blank=True, null=True)),
                ("high", models.BigIntegerField(blank=True, null=True)),
                (
                    "unit",
                    models.CharField(
                        blank=True,
                        help_text="lab_l, lab_a, lab_b or de00 in hundredths, gu for gloss, um for lengths.",
                        max_length=8,
                    ),
                ),
                ("note", models.CharField(max_length=300)),
                ("source", models.CharField(max_length=200)),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="drifts",
                        to="registry.release",
                    ),
                ),
                (
                    "trait",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="drifts",
                        to="registry.trait",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("high", None), ("low", None), ("unit", "")),
                            models.Q(("low__lte", models.F("high")), models.Q(("unit", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="drift_range_in_order",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Adoption",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "place",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("body", "body"),
                            ("front", "front"),
                            ("rear", "rear"),
                            ("left_side", "left side"),
                            ("right_side", "right side"),
                            ("roof", "roof"),
                            ("bonnet", "bonnet"),
                            ("tailgate", "tailgate"),
                            ("cargo", "load area"),
                            ("window", "windows"),
                            ("windscreen", "windscreen"),
                            ("interior", "interior"),
                            ("base", "base"),
                            ("front_wheel", "front wheels"),
                            ("rear_wheel", "rear wheels"),
                            ("tyre", "tyres"),
                            ("axle", "axles"),
                            ("rivet", "rivets"),
                            ("whole", "whole item"),
                        ],
                        help_text="Blank: as the trait says.",
                        max_length=12,
                    ),
                ),
                ("note", models.CharField(blank=True, help_text="How to inspect it here.", max_length=300)),
                (
                    "seen_in_pack",
                    models.BooleanField(blank=True, help_text="Unknown: as the trait says.", null=True),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="adoptions",
                        to="registry.release",
                    ),
                ),
                (
                    "trait",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="adoptions",
                        to="registry.trait",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(models.F("release"), models.F("trait"), name="adoption_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="Variant",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("title", models.CharField(max_length=120)),
                ("nicknames", models.JSONField(blank=True, default=list)),
                (
                    "noticed_in",
                    models.CharField(
                        blank=True, help_text="Where it was published first, if it was.", max_length=200
                    ),
                ),
                (
                    "noticed_on",
                    models.DateField(
                        blank=True, help_text="Earliest dated sighting; sorts the release page.", null=True
                    ),
                ),
                (
                    "sent_at",
                    models.DateTimeField(
                        help_text="Order of sending decides which variant must differ from which."
                    ),
                ),
                ("revision_number", models.PositiveIntegerField(default=1)),
                (
                    "standing",
                    models.CharField(
                        choices=[
                            ("provisional", "provisional"),
                            ("verified", "verified"),
                            ("contested", "contested"),
                            ("set_apart", "set apart"),
                            ("struck", "struck"),
                            ("merged", "merged"),
                            ("split", "split"),
                        ],
                        default="provisional",
                        max_length=11,
                    ),
                ),
                (
                    "missing",
                    models.JSONField(
                        default=list, help_text="Sentences: what still keeps it from being verified."
                    ),
                ),
                (
                    "is_founding",
                    models.BooleanField(
                        default=False, help_text="Its standing rests on the founding policy."
                    ),
                ),
                (
                    "cause",
                    models.CharField(
                        blank=True,
                        help_text="Key of the open claim on cause; blank: not known.",
                        max_length=16,
                    ),
                ),
                ("record", models.TextField(blank=True, default="", help_text="Canonical JSON, RFC 8785.")),
                (
                    "record_digest",
                    models.CharField(
                        blank=True, help_text="SHA-256 over 0x00 and the record.", max_length=64
                    ),
                ),
                ("changed_at", models.DateTimeField(help_text="When the record last changed.")),
                (
                    "merged_into",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged_from",
                        to="registry.variant",
                    ),
                ),
                (
                    "noticed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="noticed_variants",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="variants",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["changed_at", "public_id"], name="variant_by_change"),
                    models.Index(fields=["standing", "public_id"], name="variant_by_standing"),
                    models.Index(fields=["cause", "public_id"], name="variant_by_cause"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "standing__in",
                                [
                                    "provisional",
                                    "verified",
                                    "contested",
                                    "set_apart",
                                    "struck",
                                    "merged",
                                    "split",
                                ],
                            )
                        ),
                        name="variant_standing_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("merged_into__isnull", False), ("standing", "merged")),
                            models.Q(
                                models.Q(("standing", "merged"), _negated=True), ("merged_into__isnull", True)
                            ),
                            _connector="OR",
                        ),
                        name="variant_merged_names_survivor",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("revision_number__gte", 1)), name="variant_revision_positive"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Statement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("before", "was made before"),
                            ("alongside", "was made alongside"),
                            ("ended_by", "was replaced by"),
                            ("returned", "came back after"),
                            ("not_before", "was not made before the date"),
                            ("not_after", "was not made after the date"),
                        ],
                        max_length=10,
                    ),
                ),
                ("on", models.DateField(blank=True, null=True)),
                (
                    "source_kind",
                    models.CharField(
                        choices=[
                            ("dated_sighting", "a dated sighting"),
                            ("makers_notice", "a notice of the maker"),
                            ("production_code", "a production code"),
                            ("assortment_window", "the window of an assortment"),
                            ("packing_date", "the packing date of a pack seen with both"),
                        ],
                        max_length=17,
                    ),
                ),
                ("source", models.CharField(max_length=200)),
                ("added_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="statements",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="statements",
                        to="registry.release",
                    ),
                ),
                (
                    "other",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.variant",
                    ),
                ),
                (
                    "variant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="statements",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                ["before", "alongside", "ended_by", "returned", "not_before", "not_after"],
                            )
                        ),
                        name="statement_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "source_kind__in",
                                [
                                    "dated_sighting",
                                    "makers_notice",
                                    "production_code",
                                    "assortment_window",
                                    "packing_date",
                                ],
                            )
                        ),
                        name="statement_source_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("kind__in", ("not_before", "not_after")),
                                ("on__isnull", False),
                                ("other", None),
                            ),
                            models.Q(
                                models.Q(("kind__in", ("not_before", "not_after")), _negated=True),
                                ("on", None),
                                ("other__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="statement_relation_or_bound",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("other", None),
                            models.Q(("other", models.F("variant")), _negated=True),
                            _connector="OR",
                        ),
                        name="statement_of_two",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Submission",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "status",
                    models.CharField(
                        choices=[("draft", "draft"), ("sent", "sent"), ("withdrawn", "withdrawn")],
                        default="draft",
                        max_length=9,
                    ),
                ),
                ("content", models.JSONField(default=dict)),
                ("revision", models.PositiveIntegerField(default=1)),
                ("created_at", models.DateTimeField()),
                ("changed_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="submissions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "casting",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="submissions",
                        to="registry.casting",
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="submissions",
                        to="registry.release",
                    ),
                ),
                (
                    "differs_from",
                    models.ForeignKey(
                        blank=True,
                        help_text="The known variant that the difference claims are measured against.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.variant",
                    ),
                ),
                (
                    "variant",
                    models.ForeignKey(
                        blank=True,
                        help_text="The variant reported on, or the one that sending made.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="submissions",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["author", "status", "id"], name="submission_own")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("status__in", ["draft", "sent", "withdrawn"])),
                        name="submission_status_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("status", "sent"), _negated=True),
                            models.Q(
                                ("release__isnull", False),
                                ("sent_at__isnull", False),
                                ("variant__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="submission_sent_is_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Claim",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "is_difference",
                    models.BooleanField(
                        default=False, help_text="The submission named it as the difference."
                    ),
                ),
                (
                    "is_rival",
                    models.BooleanField(
                        default=False, help_text="Opened by a dispute that has not been decided."
                    ),
                ),
                (
                    "since_revision",
                    models.PositiveIntegerField(blank=True, help_text="Null while it is a rival.", null=True),
                ),
                ("opened_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "standing",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("confirmed", "confirmed"),
                            ("disputed", "disputed"),
                            ("refuted", "refuted"),
                        ],
                        default="open",
                        max_length=9,
                    ),
                ),
                (
                    "missing",
                    models.JSONField(
                        default=list, help_text="Sentences: what still keeps it from being confirmed."
                    ),
                ),
                (
                    "posterior",
                    models.FloatField(
                        default=0.5, help_text="Probability that it is true, given the votes that count."
                    ),
                ),
                ("votes_counted", models.PositiveIntegerField(default=0)),
                (
                    "examples_shown",
                    models.PositiveIntegerField(default=0, help_text="On how many examples it is marked."),
                ),
                ("has_sealed_proof", models.BooleanField(default=False)),
                (
                    "is_founding",
                    models.BooleanField(default=False, help_text="It stands only by the founding policy."),
                ),
                (
                    "author",
                    models.ForeignKey(
                        help_text="Null: set by the system.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "base_claim",
                    models.ForeignKey(
                        blank=True,
                        help_text="The claim of the other variant that this one differs from.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="differing_claims",
                        to="registry.claim",
                    ),
                ),
                (
                    "predecessor",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="successors",
                        to="registry.claim",
                    ),
                ),
                (
                    "state",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to="registry.state",
                    ),
                ),
                (
                    "submission",
                    models.ForeignKey(
                        blank=True,
                        help_text="Owners of its photos may not vote on the claim.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to="registry.submission",
                    ),
                ),
                (
                    "trait",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to="registry.trait",
                    ),
                ),
                (
                    "variant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("closed_at", None)),
                        fields=["trait", "state", "variant"],
                        name="claim_by_state",
                    ),
                    models.Index(
                        condition=models.Q(("closed_at", None)),
                        fields=["opened_at", "id"],
                        name="claim_waiting",
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("standing__in", ["open", "confirmed", "disputed", "refuted"])),
                        name="claim_standing_known",
                    ),
                    models.UniqueConstraint(
                        models.F("variant"),
                        models.F("trait"),
                        condition=models.Q(("closed_at", None), ("is_rival", False)),
                        name="claim_one_open_per_trait",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("is_rival", True), ("since_revision", None)),
                            models.Q(("is_rival", False), ("since_revision__isnull", False)),
                            _connector="OR",
                        ),
                        name="claim_rival_or_in_a_revision",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("closed_at", None), ("closed_at__gte", models.F("opened_at")), _connector="OR"
                        ),
                        name="claim_closed_after_opened",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("posterior__gte", 0), ("posterior__lte", 1)),
                        name="claim_posterior_in_range",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Dispute",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("reason", models.CharField(max_length=500)),
                ("base_revision", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "after_vote",
                    models.PositiveBigIntegerField(
                        default=0,
                        help_text="Key of the newest vote when it was opened: those cast since have a larger one.",
                    ),
                ),
                ("opened_at", models.DateTimeField()),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("upheld", "upheld"),
                            ("corrected", "corrected"),
                            ("withdrawn", "withdrawn"),
                        ],
                        default="open",
                        max_length=9,
                    ),
                ),
                (
                    "contests",
                    models.BooleanField(
                        default=False, help_text="It carries a photo, or a second reviewer has joined."
                    ),
                ),
                ("closing_reason", models.CharField(blank=True, max_length=500)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "claim",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disputes",
                        to="registry.claim",
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        help_text="Null: the votes.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "opened_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disputes",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "rival",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rival_in",
                        to="registry.claim",
                    ),
                ),
                (
                    "statement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disputes",
                        to="registry.statement",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["outcome", "id"], name="dispute_by_outcome")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("outcome__in", ["open", "upheld", "corrected", "withdrawn"])),
                        name="dispute_outcome_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("claim__isnull", False),
                                ("rival__isnull", False),
                                ("statement__isnull", True),
                            ),
                            models.Q(
                                ("claim__isnull", True), ("rival__isnull", True), ("statement__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="dispute_of_claim_or_statement",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("closed_at", None), ("outcome", "open")),
                            models.Q(
                                models.Q(("outcome", "open"), _negated=True), ("closed_at__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="dispute_open_or_closed",
                    ),
                    models.UniqueConstraint(
                        models.F("claim"),
                        condition=models.Q(("outcome", "open")),
                        name="dispute_one_open_per_claim",
                    ),
                    models.UniqueConstraint(
                        models.F("statement"),
                        condition=models.Q(("outcome", "open")),
                        name="dispute_one_open_per_statement",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Revision",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveIntegerField()),
                ("claims", models.JSONField()),
                ("title", models.CharField(max_length=120)),
                ("nicknames", models.JSONField(default=list)),
                ("reason", models.CharField(max_length=300)),
                ("at", models.DateTimeField()),
                ("digest", models.CharField(max_length=64)),
                (
                    "author",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="revisions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "parent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="children",
                        to="registry.revision",
                    ),
                ),
                (
                    "variant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="revisions",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "ordering": ["variant", "number"],
                "constraints": [
                    models.UniqueConstraint(
                        models.F("variant"), models.F("number"), name="revision_number_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("number", 1), ("parent", None)),
                            models.Q(("number__gt", 1), ("parent__isnull", False)),
                            _connector="OR",
                        ),
                        name="revision_names_parent",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PublicationEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveBigIntegerField(unique=True)),
                ("edition_number", models.PositiveIntegerField(db_index=True)),
                ("variant_public_id", models.CharField(max_length=12)),
                ("revision", models.PositiveIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[("new", "new"), ("changed", "changed"), ("ended", "ended")], max_length=7
                    ),
                ),
                ("digest", models.CharField(max_length=64)),
                ("record", models.TextField(help_text="Canonical JSON of the record, or of its fate.")),
                (
                    "variant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="publications",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "publication entries",
                "indexes": [models.Index(fields=["variant", "-position"], name="publication_by_variant")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["new", "changed", "ended"])),
                        name="publication_entry_kind_known",
                    ),
                    models.UniqueConstraint(
                        models.F("edition_number"),
                        models.F("variant"),
                        name="publication_entry_once_per_edition",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ModeratorEvent",
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
                        choices=[
                            ("struck", "struck"),
                            ("merged", "merged"),
                            ("split", "split"),
                            ("restored", "restored"),
                        ],
                        max_length=8,
                    ),
                ),
                ("reason", models.CharField(max_length=300)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "into",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.variant",
                    ),
                ),
                (
                    "variant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="moderator_events",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["struck", "merged", "split", "restored"])),
                        name="moderator_event_kind_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Vote",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "verdict",
                    models.CharField(
                        choices=[
                            ("confirms", "confirms"),
                            ("contradicts", "contradicts"),
                            ("cannot_tell", "cannot tell"),
                        ],
                        max_length=11,
                    ),
                ),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("own_sealed", "my own example, sealed"),
                            ("own_loose", "my own example, loose"),
                            ("photo", "the photos only"),
                        ],
                        max_length=10,
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "base_revision",
                    models.PositiveIntegerField(
                        blank=True, help_text="The revision the voter looked at.", null=True
                    ),
                ),
                ("counts", models.BooleanField(help_text="The voter was a reviewer when voting.")),
                (
                    "by_moderator",
                    models.BooleanField(default=False, help_text="The voter was a moderator when voting."),
                ),
                ("at", models.DateTimeField()),
                ("is_current", models.BooleanField(default=True)),
                (
                    "ended_at",
                    models.DateTimeField(
                        blank=True, help_text="When it was changed or withdrawn.", null=True
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="votes",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "claim",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="votes",
                        to="registry.claim",
                    ),
                ),
                (
                    "example",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="votes",
                        to="registry.example",
                    ),
                ),
                (
                    "state_seen",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.state",
                    ),
                ),
                (
                    "statement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="votes",
                        to="registry.statement",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["by", "id"], name="vote_own")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("verdict__in", ["confirms", "contradicts", "cannot_tell"])),
                        name="vote_verdict_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("basis__in", ["own_sealed", "own_loose", "photo"])),
                        name="vote_basis_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("claim__isnull", False), ("statement__isnull", True)),
                            models.Q(("claim__isnull", True), ("statement__isnull", False)),
                            _connector="OR",
                        ),
                        name="vote_on_claim_or_statement",
                    ),
                    models.UniqueConstraint(
                        models.F("by"),
                        models.F("claim"),
                        condition=models.Q(("is_current", True)),
                        name="vote_current_once_per_claim",
                    ),
                    models.UniqueConstraint(
                        models.F("by"),
                        models.F("statement"),
                        condition=models.Q(("is_current", True)),
                        name="vote_current_once_per_statement",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state_seen", None), ("verdict", "contradicts"), _connector="OR"),
                        name="vote_state_seen_contradicts",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("ended_at", None), ("is_current", True)),
                            models.Q(("ended_at__isnull", False), ("is_current", False)),
                            _connector="OR",
                        ),
                        name="vote_current_or_ended",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="JournalEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("verb", models.CharField(max_length=40)),
                ("about_kind", models.CharField(max_length=20)),
                ("about_id", models.CharField(max_length=12)),
                ("at", models.DateTimeField()),
                ("detail", models.JSONField(default=dict)),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="journal_entries",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "journal entries",
                "ordering": ["id"],
                "indexes": [models.Index(fields=["about_kind", "about_id", "id"], name="journal_by_subject")],
            },
        ),
        migrations.CreateModel(
            name="KeptReply",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("method", models.CharField(max_length=6)),
                ("path", models.CharField(max_length=200)),
                ("key", models.CharField(max_length=128)),
                ("request_digest", models.CharField(max_length=64)),
                (
                    "status",
                    models.PositiveSmallIntegerField(default=0, help_text="0 until the effect is committed."),
                ),
                ("body", models.TextField(default="")),
                ("headers", models.JSONField(default=dict)),
                ("created_at", models.DateTimeField(db_index=True)),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "kept replies",
                "constraints": [
                    models.UniqueConstraint(
                        models.F("member"),
                        models.F("method"),
                        models.F("path"),
                        models.F("key"),
                        name="kept_reply_once_per_key",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Assortment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("name", models.CharField(max_length=120)),
                ("case_code", models.CharField(blank=True, max_length=40)),
                (
                    "opens_on",
                    models.DateField(blank=True, help_text="First day of the release window.", null=True),
                ),
                (
                    "closes_on",
                    models.DateField(blank=True, help_text="Last day of the release window.", null=True),
                ),
                (
                    "case_count",
                    models.PositiveSmallIntegerField(blank=True, help_text="Items in one case.", null=True),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assortments",
                        to="registry.line",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        models.F("line"), models.F("name"), models.F("case_code"), name="assortment_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("opens_on", None),
                            ("closes_on", None),
                            ("closes_on__gte", models.F("opens_on")),
                            _connector="OR",
                        ),
                        name="assortment_window_in_order",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="AssortmentItem",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "per_case",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="Count per case where known.", null=True
                    ),
                ),
                (
                    "assortment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="items",
                        to="registry.assortment",
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assortment_items",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        models.F("assortment"), models.F("release"), name="assortment_item_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Pack",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "acceptance",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("proposed", "proposed"), ("merged", "merged")],
                        default="accepted",
                        max_length=8,
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("single_card", "single card"),
                            ("two_pack", "two-pack"),
                            ("play_set", "play set"),
                            ("multi_pack", "multi-pack"),
                            ("loose_only", "loose only"),
                        ],
                        max_length=11,
                    ),
                ),
                (
                    "gtin",
                    models.CharField(
                        blank=True, db_index=True, help_text="Widened to 14 digits.", max_length=14
                    ),
                ),
                ("is_sealed", models.BooleanField(default=True, help_text="Opening it leaves a trace.")),
                (
                    "is_see_through",
                    models.BooleanField(default=True, help_text="The vehicle is seen in the blister or box."),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="packs", to="registry.line"
                    ),
                ),
                (
                    "merged_into",
                    models.ForeignKey(
                        blank=True,
                        help_text="Resolved on reading.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="merged_from",
                        to="registry.pack",
                    ),
                ),
                (
                    "proposed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="proposed_%(class)ss",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        condition=models.Q(("acceptance", "proposed")), fields=["id"], name="pack_waiting"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("acceptance__in", ["accepted", "proposed", "merged"])),
                        name="pack_acceptance_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("acceptance", "merged"), ("merged_into__isnull", False)),
                            models.Q(
                                models.Q(("acceptance", "merged"), _negated=True),
                                ("merged_into__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="pack_merged_names_survivor",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["single_card", "two_pack", "play_set", "multi_pack", "loose_only"])
                        ),
                        name="pack_kind_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PackVersion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("name", models.CharField(max_length=80)),
                ("card_art", models.CharField(blank=True, max_length=120)),
                ("language", models.CharField(blank=True, max_length=40)),
                ("blister", models.CharField(blank=True, max_length=80)),
                ("insert", models.CharField(blank=True, max_length=80)),
                (
                    "codes",
                    models.CharField(blank=True, help_text="Codes printed on the pack.", max_length=120),
                ),
                (
                    "pack",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="registry.pack",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(models.F("pack"), models.F("name"), name="pack_version_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="PackContent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("count", models.PositiveSmallIntegerField(default=1)),
                (
                    "pack",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="contents",
                        to="registry.pack",
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pack_contents",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(models.F("pack"), models.F("release"), name="pack_content_once"),
                    models.CheckConstraint(
                        condition=models.Q(("count__gte", 1)), name="pack_content_count_positive"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Availability",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "region",
                    models.CharField(
                        help_text="A country code or a wide region; world where it is so.", max_length=60
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("announced", "announced"),
                            ("on_sale", "on sale"),
                            ("ended", "ended"),
                            ("pulled", "pulled from sale"),
                            ("never_released", "never released"),
                        ],
                        max_length=14,
                    ),
                ),
                ("on", models.DateField()),
                ("source", models.CharField(max_length=200)),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "pack",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="availability",
                        to="registry.pack",
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="availability",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "availability",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("pack__isnull", True), ("release__isnull", False)),
                            models.Q(("pack__isnull", False), ("release__isnull", True)),
                            _connector="OR",
                        ),
                        name="availability_of_one_thing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["announced", "on_sale", "ended", "pulled", "never_released"])
                        ),
                        name="availability_kind_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Sighting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "scope",
                    models.CharField(
                        choices=[
                            ("item", "one item"),
                            ("sealed_pack", "one sealed pack"),
                            ("peg", "a peg or shelf"),
                            ("case", "a shipping case"),
                            ("collection", "a collection"),
                        ],
                        max_length=11,
                    ),
                ),
                ("is_full_count", models.BooleanField(default=False)),
                (
                    "cases_compared",
                    models.PositiveIntegerField(
                        blank=True, help_text="Of a full count: from how many cases.", null=True
                    ),
                ),
                (
                    "picked_over",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "unknown")],
                        default="unknown",
                        max_length=7,
                    ),
                ),
                ("seen_on", models.DateField()),
                ("country", models.CharField(blank=True, help_text="ISO 3166-1 alpha-2.", max_length=2)),
                (
                    "region",
                    models.CharField(blank=True, help_text="A wide region, never finer.", max_length=60),
                ),
                (
                    "source",
                    models.CharField(
                        blank=True, help_text="A published source, if not seen in person.", max_length=200
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("added_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "example",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
                        to="registry.example",
                    ),
                ),
                (
                    "pack",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
                        to="registry.pack",
                    ),
                ),
                (
                    "pack_version",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
                        to="registry.packversion",
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
                        to="registry.release",
                    ),
                ),
                ("traits_seen", models.ManyToManyField(blank=True, related_name="+", to="registry.trait")),
            ],
            options={
                "indexes": [
                    models.Index(fields=["release", "seen_on"], name="sighting_by_release_day"),
                    models.Index(fields=["seen_on", "id"], name="sighting_by_day"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("scope__in", ["item", "sealed_pack", "peg", "case", "collection"])
                        ),
                        name="sighting_scope_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("picked_over__in", ["yes", "no", "unknown"])),
                        name="sighting_picked_over_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cases_compared", None),
                            models.Q(("cases_compared__gte", 1), ("is_full_count", True)),
                            _connector="OR",
                        ),
                        name="sighting_cases_only_of_full_count",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("example", None), ("scope__in", ["item", "sealed_pack"]), _connector="OR"
                        ),
                        name="sighting_example_is_one_item",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CountLine",
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
                        choices=[
                            ("variant", "this variant"),
                            ("one_of_these", "one of these"),
                            ("none_known", "none of the known ones"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "condition",
                    models.CharField(
                        blank=True,
                        choices=[("sealed", "sealed"), ("boxed", "boxed"), ("loose", "loose")],
                        max_length=6,
                    ),
                ),
                ("n", models.PositiveIntegerField()),
                (
                    "sighting",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="count_lines",
                        to="registry.sighting",
                    ),
                ),
                (
                    "variants",
                    models.ManyToManyField(blank=True, related_name="count_lines", to="registry.variant"),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["variant", "one_of_these", "none_known"])),
                        name="count_line_kind_known",
                    ),
                    models.CheckConstraint(condition=models.Q(("n__gte", 1)), name="count_line_positive"),
                ],
            },
        ),
        migrations.CreateModel(
            name="CabinetItem",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "condition",
                    models.CharField(
                        choices=[("sealed", "sealed"), ("boxed", "boxed"), ("loose", "loose")], max_length=6
                    ),
                ),
                ("count", models.PositiveSmallIntegerField(default=1)),
                (
                    "to_swap",
                    models.PositiveSmallIntegerField(default=0, help_text="How many of them are to swap."),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("revision", models.PositiveIntegerField(default=1)),
                ("added_at", models.DateTimeField()),
                ("changed_at", models.DateTimeField()),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="cabinet",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "example",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.example",
                    ),
                ),
                (
                    "pack_version",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.packversion",
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="registry.release"
                    ),
                ),
                (
                    "variant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.variant",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["member", "id"], name="cabinet_own")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("condition__in", ["sealed", "boxed", "loose"])),
                        name="cabinet_item_condition_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("count__gte", 1)), name="cabinet_item_count_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("to_swap__lte", models.F("count"))),
                        name="cabinet_item_swaps_owned",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Photo",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("views", models.JSONField(default=list, help_text="A list of View values.")),
                ("caption", models.CharField(blank=True, max_length=200)),
                (
                    "digest",
                    models.CharField(
                        db_index=True, help_text="SHA-256 of the stored picture.", max_length=64
                    ),
                ),
                (
                    "upload_digest",
                    models.CharField(db_index=True, help_text="SHA-256 of the bytes as sent.", max_length=64),
                ),
                ("width", models.PositiveIntegerField(help_text="Pixels.")),
                ("height", models.PositiveIntegerField(help_text="Pixels.")),
                ("size_bytes", models.PositiveIntegerField()),
                (
                    "licence",
                    models.CharField(
                        choices=[("CC-BY-4.0", "CC BY 4.0"), ("CC0-1.0", "CC0 1.0")],
                        default="CC-BY-4.0",
                        max_length=9,
                    ),
                ),
                (
                    "captured_on",
                    models.DateField(
                        blank=True, help_text="The camera's date: private, only a hint.", null=True
                    ),
                ),
                ("added_at", models.DateTimeField()),
                ("taken_down_at", models.DateTimeField(blank=True, null=True)),
                (
                    "dispute",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="registry.dispute",
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "sighting",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="registry.sighting",
                    ),
                ),
                (
                    "submission",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="registry.submission",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("licence__in", ["CC-BY-4.0", "CC0-1.0"])),
                        name="photo_licence_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("height__gte", 1), ("width__gte", 1)), name="photo_has_area"
                    ),
                    models.UniqueConstraint(
                        models.F("submission"),
                        models.F("digest"),
                        condition=models.Q(("submission__isnull", False)),
                        name="photo_once_per_submission",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Mark",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                (
                    "x",
                    models.PositiveIntegerField(
                        help_text="Left edge, 0 to 9999 hundredths of a percent of the width."
                    ),
                ),
                ("y", models.PositiveIntegerField(help_text="Top edge, of the height.")),
                ("w", models.PositiveIntegerField(help_text="Width; x + w is at most 10000.")),
                ("h", models.PositiveIntegerField(help_text="Height; y + h is at most 10000.")),
                ("note", models.CharField(blank=True, max_length=200)),
                ("at", models.DateTimeField()),
                ("removed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="marks",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "claim",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="marks", to="registry.claim"
                    ),
                ),
                (
                    "example",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="marks",
                        to="registry.example",
                    ),
                ),
                (
                    "photo",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="marks", to="registry.photo"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("h__gte", 1), ("w__gte", 1)), name="mark_has_area"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
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
                        name="mark_inside_picture",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PhotoExample",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "example",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photo_examples",
                        to="registry.example",
                    ),
                ),
                (
                    "photo",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="photo_examples",
                        to="registry.photo",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(models.F("photo"), models.F("example"), name="photo_example_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="ReleaseState",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "fidelity",
                    models.CharField(
                        choices=[
                            ("matches", "matches the full-size subject"),
                            ("departs", "departs from the full-size subject"),
                            ("made_up_subject", "the subject is made up"),
                            ("not_known", "not known"),
                        ],
                        default="not_known",
                        max_length=15,
                    ),
                ),
                ("subject", models.CharField(blank=True, max_length=120)),
                ("source", models.CharField(blank=True, max_length=200)),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="release_states",
                        to="registry.release",
                    ),
                ),
                (
                    "sample",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="registry.mark",
                    ),
                ),
                (
                    "state",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="release_states",
                        to="registry.state",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        models.F("release"), models.F("state"), name="release_state_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("fidelity__in", ["matches", "departs", "made_up_subject", "not_known"])
                        ),
                        name="release_state_fidelity_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("fidelity__in", ["matches", "departs"]), _negated=True),
                            models.Q(
                                models.Q(("subject", ""), _negated=True),
                                models.Q(("source", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="release_state_fidelity_sourced",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="photo",
            name="examples",
            field=models.ManyToManyField(
                related_name="photos", through="registry.PhotoExample", to="registry.example"
            ),
        ),
        migrations.AddField(
            model_name="pack",
            name="releases",
            field=models.ManyToManyField(
                related_name="packs", through="registry.PackContent", to="registry.release"
            ),
        ),
        migrations.AddField(
            model_name="assortment",
            name="releases",
            field=models.ManyToManyField(
                related_name="assortments", through="registry.AssortmentItem", to="registry.release"
            ),
        ),
    ]
