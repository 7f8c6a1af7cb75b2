"""Members, the roles moderators grant them, declared links, access tokens and kept replies."""

from __future__ import annotations

import unicodedata
from datetime import datetime
from functools import cached_property
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.methods.skeleton import skeleton
from registry.sentences import Sentence

from .base import Identified, one_of
from .nested import NestedRows

NAME_KEY_LENGTH = 120
SECOND_STEPS = ("webauthn", "totp")  # kinds of the accounts app: passkey, authenticator app


def name_key(name: str) -> str:
    """What makes two display names the same: compatibility form, case and spacing ignored."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


class MemberManager(BaseUserManager["Member"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> Member:
        member = self.model(email=self.normalize_email(email).lower(), **fields)
        member.set_password(password)
        member.save(using=self._db)
        return member

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> Member:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)

    def with_roles(self) -> models.QuerySet[Member]:
        """Each read with what `roles` asks for."""
        held = RoleGrant.objects.filter(member=OuterRef("pk"), revoked_at=None)
        steps = Member.objects.filter(pk=OuterRef("pk"), authenticator__type__in=SECOND_STEPS)
        return self.get_queryset().annotate(grants_held=NestedRows(held, "role"), steps_held=Exists(steps))


class Role(models.TextChoices):
    REVIEWER = "reviewer", _("reviewer")
    MODERATOR = "moderator", _("moderator")


class Member(Identified, AbstractBaseUser, PermissionsMixin):
    """A person with an account. Written by actions.people and by the sign-up form's adapter.

    The e-mail address is for signing in alone: it is never shown, published or put in the journal.
    """

    email = models.EmailField(unique=True)
    display_name = models.CharField(max_length=40, unique=True)
    name_key = models.CharField(max_length=NAME_KEY_LENGTH, unique=True, editable=False)
    name_skeleton = models.CharField(
        max_length=NAME_KEY_LENGTH,
        unique=True,
        editable=False,
        help_text="What the name looks like: no two members may be mistaken for each other.",
    )
    is_active = models.BooleanField(default=True, help_text="A suspended account can sign in nowhere.")
    is_staff = models.BooleanField(default=False, help_text="May open the read-mostly admin pages.")
    joined_at = models.DateTimeField(default=timezone.now)
    erased_at = models.DateTimeField(
        null=True, blank=True, help_text="When the member had everything personal erased."
    )
    keeps_credit = models.BooleanField(
        default=False, help_text="An erased member's photographs still name them."
    )

    objects = MemberManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["display_name"]

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(erased_at=None, keeps_credit=False) | Q(erased_at__isnull=False, is_active=False),
                name="member_erased_is_closed",
            ),
        ]

    def __str__(self) -> str:
        return Sentence("former contributor") if self.erased_at else self.display_name

    def save(self, *args: Any, **kwargs: Any) -> None:
        # One letter may stand for many in compatibility form: what is over the length tells nobody apart.
        key = name_key(self.display_name)[:NAME_KEY_LENGTH]
        if key != self.name_key or not self.name_skeleton:
            # Not otherwise: members of before the rule may keep a name that another one looks like.
            self.name_skeleton = skeleton(self.display_name)[:NAME_KEY_LENGTH]
        self.name_key = key
        super().save(*args, **kwargs)

    @property
    def credit(self) -> str:
        """How a photograph names its owner."""
        return Sentence("uncredited") if self.erased_at and not self.keeps_credit else self.display_name

    @cached_property
    def roles(self) -> frozenset[str]:
        """Roles that count now. Actions read them afresh inside their transaction.

        Queries: none for a member of `with_roles`; else 1, and 2 for who holds one.
        """
        held, steps = getattr(self, "grants_held", None), getattr(self, "steps_held", None)
        granted = self.granted_roles if held is None else frozenset(grant.role for grant in held)
        if not granted or not settings.CASTLORE_SECOND_STEP:
            return granted
        return granted if (self.has_second_step if steps is None else steps) else frozenset()

    @property
    def granted_roles(self) -> frozenset[str]:
        """Roles that moderators gave, whether they count or wait for a second step of signing in. Queries: 1."""
        return frozenset(self.role_grants.filter(revoked_at=None).values_list("role", flat=True))

    @property
    def has_second_step(self) -> bool:
        """A passkey or an authenticator app; codes for an emergency alone are none. Queries: 1."""
        return self.authenticator_set.filter(type__in=SECOND_STEPS).exists()  # type: ignore[attr-defined]

    @property
    def waiting_roles(self) -> frozenset[str]:
        """Roles that do not count before there is a second step. Queries: 1, 0 where a role counts."""
        return self.granted_roles if settings.CASTLORE_SECOND_STEP and not self.roles else frozenset()

    @property
    def is_reviewer(self) -> bool:
        return bool(self.roles)

    @property
    def is_moderator(self) -> bool:
        return Role.MODERATOR in self.roles


class RoleGrant(models.Model):
    """Who may do more, who said so, and until when. Written by actions.people; a moderator also reviews."""

    member = models.ForeignKey(Member, models.PROTECT, related_name="role_grants")
    role = models.CharField(max_length=9, choices=Role)
    granted_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+")
    granted_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            one_of("role", Role, "role_grant_role_known"),
            models.UniqueConstraint(
                "member", "role", condition=Q(revoked_at=None), name="role_grant_held_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.member}: {self.role}"


class MemberLink(models.Model):
    """Two accounts declared to belong together (a household, a shop): their evidence and votes count once."""

    first = models.ForeignKey(Member, models.PROTECT, related_name="+")
    second = models.ForeignKey(Member, models.PROTECT, related_name="+")
    declared_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    declared_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(first__lt=F("second")), name="member_link_ordered"),
            models.UniqueConstraint("first", "second", name="member_link_once"),
        ]

    def __str__(self) -> str:
        return f"{self.first} and {self.second}"


class TokenQuerySet(models.QuerySet["Token"]):
    def usable(self, at: datetime) -> TokenQuerySet:
        return self.filter(revoked_at=None, expires_at__gt=at, member__is_active=True)


class Token(Identified):
    """Lets another program act for a member. The secret is shown once; only its SHA-256 digest is kept."""

    class Scope(models.TextChoices):
        READ = "read", _("read what the member may read")
        CONTRIBUTE = "contribute", _("send submissions, photos and sightings")
        REVIEW = "review", _("vote and dispute")
        CABINET = "cabinet", _("read and write the private cabinet")
        MODERATE = "moderate", _("moderate, if the member is a moderator")
        ACCOUNT = "account", _("take along all that is kept of the member, and erase the account")

    member = models.ForeignKey(Member, models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=60, help_text="What the token is for, in the member's words.")
    digest = models.CharField(max_length=64, unique=True)
    hint = models.CharField(
        max_length=12, help_text="The first symbols, so that a member can tell tokens apart."
    )
    scopes = models.JSONField(help_text="A list of Scope values.")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True, help_text="Written at most hourly.")
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = TokenQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")), name="token_expires_after_creation"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.hint}… ({self.name})"


class KeptReply(models.Model):
    """The answer to a write that named an Idempotency-Key, kept for a day so that a retry gets it again."""

    member = models.ForeignKey(Member, models.CASCADE, related_name="+")
    method = models.CharField(max_length=6)
    path = models.CharField(max_length=200)
    key = models.CharField(max_length=128)
    request_digest = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(default=0, help_text="0 until the effect is committed.")
    body = models.TextField(default="")
    headers = models.JSONField(default=dict)
    created_at = models.DateTimeField(db_index=True)

    class Meta:
        verbose_name_plural = "kept replies"
        constraints = [
            models.UniqueConstraint("member", "method", "path", "key", name="kept_reply_once_per_key"),
        ]

    def __str__(self) -> str:
        return f"{self.method} {self.path} {self.key}"
