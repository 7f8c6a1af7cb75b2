"""What moderators decide: proposed things and roles."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from registry.models import Concern, Role, RoleGrant

from .base import Form
from .lengths import micrometres, millimetres


class AcceptForm(Form):
    """Take a proposed thing into the catalogue."""


class AcceptTraitForm(AcceptForm):
    """Of a detail, say as well whether it can be altered after sale: that decides which proof it needs."""

    alterable = forms.BooleanField(
        required=False,
        label=_("Can be swapped, peeled, wiped, repainted or faded after sale"),
        help_text=_("Then a sealed example is asked for."),
    )


class RenameForm(Form):
    name = forms.CharField(max_length=120, label=_("Better name"))

    def said(self) -> dict[str, Any]:
        """What the action is told."""
        return {"name": self.cleaned_data["name"]}


class RenameCastingForm(RenameForm):
    wheelbase = millimetres(
        _("Wheelbase, mm"),
        1000,
        required=False,
        help_text=_("On the model, from axle to axle. With it, lengths can be measured on photographs."),
    )
    aliases = {"wheelbase_um": "wheelbase"}

    def said(self) -> dict[str, Any]:
        return {**super().said(), "wheelbase_um": micrometres(self.cleaned_data["wheelbase"])}


class MergeForm(Form):
    into = forms.CharField(
        max_length=40,
        label=_("Id of the known one"),
        help_text=_("What was said of it, and voted on, goes over to that one."),
    )
    reason = forms.CharField(
        max_length=300, label=_("Why they are the same"), help_text=_("It is kept in the journal.")
    )


class RoleForm(Form):
    member = forms.CharField(max_length=40, label=_("Member's name"))
    role = forms.ChoiceField(choices=Role.choices, label=_("Role"))
    reason = forms.CharField(max_length=300, label=_("Reason"), help_text=_("Another moderator reads it."))


class TellForm(Form):
    """Something that moderators should look at."""

    reason = forms.CharField(
        max_length=300,
        label=_("What is wrong?"),
        help_text=_(
            "Such as: it shows a person or a home; it is my picture; it is an insult. Moderators alone read it."
        ),
    )


class ConcernForm(Form):
    outcome = forms.ChoiceField(label=_("What did you find?"))
    reason = forms.CharField(
        max_length=300, label=_("In a sentence"), help_text=_("Kept with it, for moderators.")
    )

    def __init__(self, concern: Concern, data: QueryDict | None) -> None:
        super().__init__(data)
        self.fields["outcome"].choices = [(each.value, each.label) for each in concern.may_end]  # type: ignore[attr-defined]


class AccountForm(Form):
    """An account is suspended, or opened again."""

    reason = forms.CharField(
        max_length=300, label=_("Reason"), help_text=_("Moderators read it here; it is kept in the journal.")
    )


class RevokeForm(AccountForm):
    """One of the roles that a member holds, taken away."""

    role = forms.ChoiceField(label=_("Role"))
    field_order = ["role", "reason"]

    def __init__(self, grants: Iterable[RoleGrant], *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "revoke_%s")
        super().__init__(*args, **kwargs)
        held = [(grant.role, grant.get_role_display()) for grant in grants]
        self.fields["role"].choices = held  # type: ignore[attr-defined]
