"""The admin pages: for looking, not for changing. Every change goes through an action, so that it is journalled."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from allauth.account.decorators import secure_admin_login
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.conf import settings
from django.contrib import admin
from django.contrib.auth.models import Group
from django.db import models
from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from registry import models as kept

# Sign in as on the rest of the site, with its limits on guessing.
admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]
admin.site.site_header = admin.site.site_title = "Castlore"
admin.site.index_title = _("For looking; changes are made on the site")

# Addresses, sessions and second steps are nobody's business; roles are granted on the site.
admin.site.unregister([EmailAddress, Authenticator, UserSession, Group])

if TYPE_CHECKING:
    Admin = admin.ModelAdmin[Any]
else:
    Admin = admin.ModelAdmin

PRIVATE = {
    kept.Member: ("password", "email", "user_permissions", "groups"),
    kept.Token: ("digest",),
    kept.KeptReply: ("body", "headers", "request_digest"),
    kept.Photo: ("captured_on",),
    kept.JournalSecret: ("salt",),
}
"""Columns that not even staff are shown."""
LEFT_OUT = {
    kept.CabinetItem, kept.Hunt, kept.Watch, kept.Likeness, kept.PhotoHash, kept.ShotCode, kept.CodeSeen, kept.Chart,
    kept.Remark,
}  # fmt: skip
"""What a member owns, looks for or follows is theirs alone, and what is known of photographs may speak of drafts."""
OWN = Q(verb__startswith="cabinet.") | Q(verb__startswith="hunt.") | Q(verb__startswith="watch.")
DRAFTS = {
    kept.Submission: Q(status="draft"),
    kept.Photo: Q(submission__status="draft"),
    kept.JournalEntry: OWN,
    kept.JournalSecret: Q(entry__in=kept.JournalEntry.objects.filter(OWN | Q(verb="concern.told"))),
    kept.KeptReply: Q(path__contains="/cabinet") | Q(path__contains="/hunt"),
}
"""And so is what has not been sent, and each line that says that somebody put one in their cabinet. What was told to
moderators alone is read on their desk."""


def may_look(request: HttpRequest) -> bool:
    """Staff, by two steps where those are asked for."""
    user = request.user
    is_staff = user.is_active and user.is_staff
    return bool(is_staff and (not settings.CASTLORE_SECOND_STEP or user.has_second_step))  # type: ignore[union-attr]


admin.site.has_permission = may_look  # type: ignore[method-assign]


class ReadOnly(Admin):
    """Lists and shows rows; adds, changes and deletes none."""

    actions = None
    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return may_look(request)

    def has_module_permission(self, request: HttpRequest) -> bool:
        return self.has_view_permission(request)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Any]:
        rows = super().get_queryset(request)
        return rows.exclude(DRAFTS[self.model]) if self.model in DRAFTS else rows

    def get_exclude(self, request: HttpRequest, obj: Any = None) -> tuple[str, ...]:
        return PRIVATE.get(self.model, ())


def columns(model: type[models.Model]) -> tuple[str, ...]:
    """The row in words, and its id and time where it has them; nothing that needs another query a row."""
    names = {field.name for field in model._meta.get_fields()}
    return (
        "pk",
        *(name for name in ("public_id", "standing", "outcome", "status", "verb", "at") if name in names),
    )


def related(model: type[models.Model]) -> tuple[str, ...]:
    return tuple(
        field.name for field in model._meta.fields if isinstance(field, models.ForeignKey) and not field.null
    )


def show(model: type[models.Model]) -> None:
    named = {"list_display": (*columns(model), "__str__"), "list_select_related": related(model)}
    if "public_id" in named["list_display"]:
        named["search_fields"] = ("=public_id",)
    admin.site.register(model, type(f"{model.__name__}Admin", (ReadOnly,), named))


for name in kept.__all__:
    row = getattr(kept, name)
    if (
        isinstance(row, type)
        and issubclass(row, models.Model)
        and not row._meta.abstract
        and row not in LEFT_OUT
    ):
        show(row)
