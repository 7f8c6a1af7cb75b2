"""Forms of the accounts app whose fields name the remedy as ours do. The settings say where each is used."""

from __future__ import annotations

from allauth.account import forms as account
from allauth.mfa.base import forms as second_step
from allauth.mfa.totp import forms as authenticator_app
from allauth.mfa.webauthn import forms as passkeys
from django import forms
from django.utils.translation import gettext_lazy as _

from .base import Form


class LoginForm(Form, account.LoginForm):
    remember = forms.BooleanField(label=_("Keep me signed in"), required=False)


class AddEmailForm(Form, account.AddEmailForm):
    pass


class ChangePasswordForm(Form, account.ChangePasswordForm):
    pass


class SetPasswordForm(Form, account.SetPasswordForm):
    pass


class ResetPasswordForm(Form, account.ResetPasswordForm):
    pass


class ResetPasswordKeyForm(Form, account.ResetPasswordKeyForm):
    pass


class ReauthenticateForm(Form, account.ReauthenticateForm):
    pass


class ConfirmEmailVerificationCodeForm(Form, account.ConfirmEmailVerificationCodeForm):
    pass


class AuthenticateSecondStepForm(Form, second_step.AuthenticateForm):
    pass


class ReauthenticateSecondStepForm(Form, second_step.ReauthenticateForm):
    pass


class ActivateTOTPForm(Form, authenticator_app.ActivateTOTPForm):
    pass


class EditWebAuthnForm(Form, passkeys.EditWebAuthnForm):
    pass
