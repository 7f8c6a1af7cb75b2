"""How people sign up: an e-mail address, a password, and the name that others will see."""

from __future__ import annotations

import base64
import hashlib
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.auth_backends import AuthenticationBackend
from allauth.core.exceptions import ImmediateHttpResponse
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, InvalidToken
from django import forms
from django.conf import settings
from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpRequest
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from registry import actions
from registry.actions.wording import line
from registry.errors import InvalidField
from registry.methods.skeleton import skeleton
from registry.models import Member, name_key
from registry.models.people import NAME_KEY_LENGTH
from registry.sentences import said
from registry.web.forms.base import Form


class SignupForm(Form):
    """The part of the sign-up form that is ours; the accounts app adds address and password."""

    display_name = forms.CharField(
        label=gettext_lazy("Name shown to others"),
        max_length=40,
        help_text=gettext_lazy(
            "It stands beside your photographs and reports. It need not be your own name."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "nickname"}),
    )
    field_order = ["email", "display_name", "password1"]

    def clean_display_name(self) -> str:
        try:
            name = line("display_name", self.cleaned_data["display_name"], 40)
        except InvalidField as refusal:
            raise forms.ValidationError(said(refusal)) from refusal
        if Member.objects.filter(name_key=name_key(name)).exists():
            raise forms.ValidationError(_("“%(name)s” is taken. Choose another name.") % {"name": name})
        if Member.objects.filter(name_skeleton=skeleton(name)[:NAME_KEY_LENGTH]).exists():
            raise forms.ValidationError(
                _("“%(name)s” looks like a name that is taken. Choose another one.") % {"name": name}
            )
        return name

    def signup(self, request: HttpRequest, user: Member) -> None:
        """Asked for by the accounts app; everything is done when the adapter saves."""


class SignedIn(AuthenticationBackend):
    """Who a session belongs to is read together with their roles, as nearly every page asks for those."""

    def get_user(self, user_id: int) -> Member | None:
        member = Member.objects.with_roles().filter(pk=user_id).first()
        return member if member and self.user_can_authenticate(member) else None


class AccountAdapter(DefaultAccountAdapter):
    def save_user(self, request: HttpRequest, user: Member, form: Any, commit: bool = True) -> Member:
        """Give the new member their name, keep them, and write the journal's first line about them."""
        user.display_name = form.cleaned_data["display_name"]
        try:
            with transaction.atomic():
                super().save_user(request, user, form, commit=commit)
                actions.join(member=user, at=timezone.now())
        except IntegrityError as taken:  # somebody else took the name a moment ago
            why = _("“%(name)s” has just been taken. Choose another name.") % {"name": user.display_name}
            messages.error(request, why)
            raise ImmediateHttpResponse(redirect("account_signup")) from taken
        return user


class SecondStepAdapter(DefaultMFAAdapter):
    """The shared secrets of authenticator apps lie encrypted: a copy of the database alone opens no account."""

    def encrypt(self, text: str) -> str:
        return keeper().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        try:
            return keeper().decrypt(encrypted_text.encode()).decode()
        except InvalidToken:  # the site's secret was changed: no code fits any more
            return ""


def keeper() -> Fernet:
    """Its key is made from the site's secret: whoever changes that asks everybody to set up their second step anew."""
    digest = hashlib.sha256(b"castlore/second-step" + settings.SECRET_KEY.encode()).digest()
    return Fernet(base64.urlsafe_b64encode(digest))
