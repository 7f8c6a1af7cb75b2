"""Forms of the accounts app in our words. The settings say where each is used."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from allauth.account import forms as account
from allauth.mfa.adapter import get_adapter
from allauth.mfa.base import forms as second_step
from allauth.mfa.models import Authenticator
from allauth.mfa.totp import forms as authenticator_app
from allauth.mfa.webauthn import forms as passkeys
from django import forms
from django.utils.translation import gettext_lazy as _

from .base import Form

LABELS = {
    "login": _("E-mail address"),
    "email": _("E-mail address"),
    "password": _("Password"),
    "oldpassword": _("Password until now"),
    "password1": _("New password"),
    "password2": _("The same again"),
    "code": _("Code"),
    "name": _("Name of the passkey"),
}
HELP = {"password1": _("10 characters or more; not a common one, and not like your e-mail address.")}
CODE_OF_THE_SECOND_STEP = _(
    "The six digits that your authenticator app shows now, or an emergency code not used yet."
)


class AccountForm(Form):
    """Its fields are made by the accounts app and named here."""

    labels: dict[str, Any] = {}
    help_texts: dict[str, Any] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        labels, help_texts = LABELS | self.labels, HELP | self.help_texts
        for name, field in self.fields.items():
            field.label = labels.get(name, field.label)
            field.help_text = help_texts.get(name, field.help_text)
            field.widget.attrs.pop("placeholder", None)  # it says the label once more


class NewPasswordForm(AccountForm):
    def clean_password2(self) -> str:
        """Looked at here, before the accounts app does and says it in words of its own."""
        again: str = self.cleaned_data["password2"]
        if again != self.cleaned_data.get("password1", again):
            raise forms.ValidationError(_("The two differ. Type the new password twice."))
        return again


class LoginForm(AccountForm, account.LoginForm):
    remember = forms.BooleanField(label=_("Keep me signed in"), required=False)


class SignupForm(AccountForm, account.SignupForm):
    labels = {"password1": _("Password")}


class AddEmailForm(AccountForm, account.AddEmailForm):
    pass


class ChangePasswordForm(NewPasswordForm, account.ChangePasswordForm):
    pass


class SetPasswordForm(NewPasswordForm, account.SetPasswordForm):
    pass


class ResetPasswordForm(AccountForm, account.ResetPasswordForm):
    pass


class ResetPasswordKeyForm(NewPasswordForm, account.ResetPasswordKeyForm):
    pass


class ReauthenticateForm(AccountForm, account.ReauthenticateForm):
    pass


class ConfirmEmailVerificationCodeForm(AccountForm, account.ConfirmEmailVerificationCodeForm):
    pass


class AuthenticateSecondStepForm(AccountForm, second_step.AuthenticateForm):
    help_texts = {"code": CODE_OF_THE_SECOND_STEP}


class ReauthenticateSecondStepForm(AccountForm, second_step.ReauthenticateForm):
    help_texts = {"code": CODE_OF_THE_SECOND_STEP}


class ActivateTOTPForm(AccountForm, authenticator_app.ActivateTOTPForm):
    labels = {"code": _("The six digits")}


class PasskeyForm(AccountForm):
    """What the device answers comes in a field that nobody sees."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["credential"].error_messages["required"] = _(
            "No passkey came. Press the button, then do what your device asks."
        )


@contextmanager
def refused_if_malformed() -> Iterator[None]:
    """What no device answers, but anybody can send, breaks the library's reading of it."""
    try:
        yield
    except (AttributeError, LookupError, TypeError, ValueError) as broken:
        raise get_adapter().validation_error("incorrect_code") from broken


class AddWebAuthnForm(PasskeyForm, passkeys.AddWebAuthnForm):
    def clean(self) -> dict[str, Any]:
        with refused_if_malformed():
            return super().clean() or {}


class AuthenticateWebAuthnForm(PasskeyForm, passkeys.AuthenticateWebAuthnForm):
    def clean_credential(self) -> Authenticator:
        with refused_if_malformed():
            return super().clean_credential()


class ReauthenticateWebAuthnForm(AuthenticateWebAuthnForm, passkeys.ReauthenticateWebAuthnForm):
    pass


class EditWebAuthnForm(AccountForm, passkeys.EditWebAuthnForm):
    pass
