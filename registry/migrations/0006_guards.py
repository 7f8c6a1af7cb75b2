"""What guards the votes: interests, address hints, surges, held disputes, control answers, concerns, deeds for two."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import registry.models.base
from registry.methods.skeleton import skeleton


def fill_skeletons(apps, schema_editor):
    """Of two members whose names look alike the elder has the plain skeleton; the younger keeps a name of its own."""
    Member = apps.get_model("registry", "Member")
    taken = set()
    for member in Member.objects.order_by("pk"):
        plain = skeleton(member.display_name)[:100]
        member.name_skeleton = plain if plain not in taken else f"{plain}#{member.pk}"
        taken.add(member.name_skeleton)
        member.save(update_fields=["name_skeleton"])


class Migration(migrations.Migration):
    dependencies = [
        ("registry", "0005_fits"),
    ]

    operations = [
        migrations.AddField(
            model_name="member",
            name="name_skeleton",
            field=models.CharField(editable=False, max_length=120, null=True),
        ),
        migrations.RunPython(fill_skeletons, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="member",
            name="name_skeleton",
            field=models.CharField(
                editable=False,
                help_text="What the name looks like: no two members may be mistaken for each other.",
                max_length=120,
                unique=True,
            ),
        ),
        migrations.CreateModel(
            name="AddressHint",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("digest", models.CharField(db_index=True, max_length=64)),
                ("seen_at", models.DateTimeField(db_index=True)),
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
                "constraints": [
                    models.UniqueConstraint(models.F("member"), models.F("digest"), name="address_hint_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="Concern",
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
                        choices=[("lockstep", "votes in lockstep"), ("surge", "a rush of votes")],
                        max_length=8,
                    ),
                ),
                (
                    "fingerprint",
                    models.CharField(help_text="Digest of what it is about: noted once.", max_length=64),
                ),
                ("evidence", models.JSONField(default=dict)),
                ("opened_at", models.DateTimeField()),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("unfounded", "nothing was wrong"),
                            ("linked", "they belong together, and a link is declared"),
                            ("acted_on", "acted on"),
                        ],
                        default="open",
                        max_length=9,
                    ),
                ),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("reason", models.CharField(blank=True, max_length=300)),
                (
                    "claim",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.claim",
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("members", models.ManyToManyField(related_name="+", to=settings.AUTH_USER_MODEL)),
            ],
            options={
                "indexes": [models.Index(fields=["outcome", "id"], name="concern_by_outcome")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["lockstep", "surge"])), name="concern_kind_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("outcome__in", ["open", "unfounded", "linked", "acted_on"])),
                        name="concern_outcome_known",
                    ),
                    models.UniqueConstraint(
                        models.F("kind"), models.F("fingerprint"), name="concern_noted_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("closed_at", None), ("closed_by", None), ("outcome", "open")),
                            models.Q(
                                models.Q(("outcome", "open"), _negated=True),
                                ("closed_at__isnull", False),
                                ("closed_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="concern_open_or_closed_by_somebody",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ControlAnswer",
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
                ("truth", models.BooleanField(help_text="The claim was settled as true.")),
                ("at", models.DateTimeField()),
                (
                    "claim",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="control_answers",
                        to="registry.claim",
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="control_answers",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("verdict__in", ["confirms", "contradicts", "cannot_tell"])),
                        name="control_answer_verdict_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("basis__in", ["own_sealed", "own_loose", "photo"])),
                        name="control_answer_basis_known",
                    ),
                    models.UniqueConstraint(
                        models.F("member"), models.F("claim"), name="control_answer_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HeldDispute",
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
                ("held_at", models.DateTimeField()),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("held", "held for a moderator"),
                            ("released", "released"),
                            ("declined", "declined"),
                        ],
                        default="held",
                        max_length=8,
                    ),
                ),
                ("decided_at", models.DateTimeField(blank=True, null=True)),
                ("decline_reason", models.CharField(blank=True, max_length=300)),
                (
                    "claim",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="held",
                        to="registry.claim",
                    ),
                ),
                (
                    "decided_by",
                    models.ForeignKey(
                        blank=True,
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
                        related_name="held_disputes",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "released_as",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="was_held",
                        to="registry.dispute",
                    ),
                ),
                (
                    "state",
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
                        related_name="held",
                        to="registry.statement",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["outcome", "id"], name="held_by_outcome"),
                    models.Index(fields=["opened_by", "held_at"], name="held_by_opener"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("outcome__in", ["held", "released", "declined"])),
                        name="held_outcome_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("claim__isnull", False), ("state__isnull", False), ("statement", None)),
                            models.Q(("claim", None), ("state", None), ("statement__isnull", False)),
                            _connector="OR",
                        ),
                        name="held_of_claim_or_statement",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("decided_at", None), ("decided_by", None), ("outcome", "held")),
                            models.Q(
                                models.Q(("outcome", "held"), _negated=True),
                                ("decided_at__isnull", False),
                                ("decided_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="held_or_decided",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("outcome", "released"), ("released_as__isnull", False)),
                            models.Q(models.Q(("outcome", "released"), _negated=True), ("released_as", None)),
                            _connector="OR",
                        ),
                        name="held_released_names_dispute",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Interest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("declared_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "casting",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.casting",
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.line",
                    ),
                ),
                (
                    "maker",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.maker",
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="interests",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "release",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="registry.release",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("casting", None), ("line", None), ("maker__isnull", False), ("release", None)
                            ),
                            models.Q(
                                ("casting", None), ("line__isnull", False), ("maker", None), ("release", None)
                            ),
                            models.Q(
                                ("casting__isnull", False), ("line", None), ("maker", None), ("release", None)
                            ),
                            models.Q(
                                ("casting", None), ("line", None), ("maker", None), ("release__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="interest_in_one_thing",
                    ),
                    models.UniqueConstraint(
                        models.F("member"),
                        models.F("maker"),
                        condition=models.Q(("ended_at", None)),
                        name="interest_once_per_maker",
                    ),
                    models.UniqueConstraint(
                        models.F("member"),
                        models.F("line"),
                        condition=models.Q(("ended_at", None)),
                        name="interest_once_per_line",
                    ),
                    models.UniqueConstraint(
                        models.F("member"),
                        models.F("casting"),
                        condition=models.Q(("ended_at", None)),
                        name="interest_once_per_casting",
                    ),
                    models.UniqueConstraint(
                        models.F("member"),
                        models.F("release"),
                        condition=models.Q(("ended_at", None)),
                        name="interest_once_per_release",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PendingDeed",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("public_id", registry.models.base.PublicIdField()),
                ("kind", models.CharField(help_text="One of actions.two_persons.DEEDS.", max_length=20)),
                ("detail", models.JSONField()),
                (
                    "words",
                    models.CharField(
                        help_text="What it is, as it read when it was asked for.", max_length=300
                    ),
                ),
                ("reason", models.CharField(max_length=300)),
                ("asked_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting for a second moderator"),
                            ("done", "done"),
                            ("declined", "declined"),
                        ],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                ("decided_at", models.DateTimeField(blank=True, null=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "decided_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["outcome", "expires_at"], name="deed_by_outcome")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("outcome__in", ["waiting", "done", "declined"])),
                        name="deed_outcome_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("decided_at", None), ("decided_by", None), ("outcome", "waiting")),
                            models.Q(
                                models.Q(("outcome", "waiting"), _negated=True),
                                ("decided_at__isnull", False),
                                ("decided_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="deed_waiting_or_decided",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("outcome", "done"), _negated=True),
                            models.Q(("decided_by", models.F("asked_by")), _negated=True),
                            _connector="OR",
                        ),
                        name="deed_done_by_two",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("expires_at__gt", models.F("asked_at"))),
                        name="deed_expires_later",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SurgeLock",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("began_at", models.DateTimeField(help_text="The first vote of the rush.")),
                ("locked_until", models.DateTimeField()),
                (
                    "claim",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="surge_locks",
                        to="registry.claim",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["claim", "locked_until"], name="surge_lock_of_claim")],
            },
        ),
    ]
