"""How people sign up: an e-mail address, a password, and the name that others will see."""

from __future__ import annotations

import base64
import hashlib
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.auth_backends import AuthenticationBackend
from allauth.core.exceptions import ImmediateHttpResponse
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from cryptography.fernet import Fernet, InvalidToken
from django import forms
from django.conf import settings
from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpRequest
from django.shortcuts import redirect
from django.urls import reverse
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


TOO_MANY_TRIES = gettext_lazy("Too many tries. Wait a few minutes, then try again.")
WAYS_TO_SHOW_WHO_ONE_IS = {
    "reauthenticate": gettext_lazy("By my password"),
    "mfa_reauthenticate": gettext_lazy("By a code"),
    "mfa_reauthenticate:webauthn": gettext_lazy("By my passkey"),
}


class AccountAdapter(DefaultAccountAdapter):
    error_messages = DefaultAccountAdapter.error_messages | {
        "duplicate_email": gettext_lazy("This address is yours already."),
        "email_password_mismatch": gettext_lazy(
            "No account has this address with this password. Look at both again, or get a new password."
        ),
        "enter_current_password": gettext_lazy("That is not your password. Type the one you sign in with."),
        "incorrect_code": gettext_lazy(
            "That is not the code. Look into the newest mail and type what it says."
        ),
        "incorrect_password": gettext_lazy("That is not your password. Type the one you sign in with."),
        "rate_limited": TOO_MANY_TRIES,
        "too_many_login_attempts": TOO_MANY_TRIES,
    }

    def get_email_verification_redirect_url(self, email_address: Any) -> str:
        return reverse("account_email")

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        return reverse("account")

    def get_reauthentication_methods(self, user: Any) -> list[dict[str, Any]]:
        ways = super().get_reauthentication_methods(user)
        return [way | {"description": str(WAYS_TO_SHOW_WHO_ONE_IS[way["id"]])} for way in ways]

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

    error_messages = DefaultMFAAdapter.error_messages | {
        "cannot_generate_recovery_codes": gettext_lazy("First add a passkey or set up an authenticator app."),
        "incorrect_code": gettext_lazy(
            "That did not fit. Try again; digits of the app count for half a minute."
        ),
        "unverified_email": gettext_lazy(
            "First confirm your e-mail address, on the page “My e-mail address”."
        ),
    }

    def encrypt(self, text: str) -> str:
        return keeper().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        try:
            return keeper().decrypt(encrypted_text.encode()).decode()
        except InvalidToken:  # the site's secret was changed: no code fits any more
            return ""

    def generate_authenticator_name(self, user: Any, type: str) -> str:
        held = Authenticator.objects.filter(user=user, type=type).count()
        return _("My passkey %(n)d") % {"n": held + 1} if held else _("My passkey")


def keeper() -> Fernet:
    """Its key is made from the site's secret: whoever changes that asks everybody to set up their second step anew."""
    digest = hashlib.sha256(b"castlore/second-step" + settings.SECRET_KEY.encode()).digest()
    return Fernet(base64.urlsafe_b64encode(digest))
