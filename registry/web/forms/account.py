"""Tokens, what one sells, and the end of an account."""

from __future__ import annotations

from typing import Any

from allauth.core import ratelimit
from django import forms
from django.conf import settings
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from registry.models import Release, Token
from registry.web.forms.base import Form
from registry.web.people import signed_in


class TokenForm(Form):
    """Lets another program act for me."""

    name = forms.CharField(
        max_length=60, label=_("What is it for?"), help_text=_("In your words, such as: shelf list.")
    )
    scopes = forms.MultipleChoiceField(
        choices=Token.Scope.choices,
        widget=forms.CheckboxSelectMultiple,
        label=_("What may it do?"),
        initial=["read"],
    )
    days = forms.IntegerField(
        min_value=1, max_value=settings.CASTLORE_TOKEN_MAX_DAYS, initial=90, label=_("Days until it ends")
    )


class EraseForm(Form):
    """Only who knows the password may erase the account."""

    credit = forms.ChoiceField(
        choices=[("uncredited", _("No name at all: “uncredited”")), ("keep", _("My name, as now"))],
        widget=forms.RadioSelect,
        initial="uncredited",
        label=_("What shall stand beside my photographs?"),
    )
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        strip=False,
        label=_("My password"),
    )

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request

    def clean_password(self) -> str:
        """As for signing in again, only so many may be tried in a minute."""
        password, member = self.cleaned_data["password"], signed_in(self.request)
        if not ratelimit.consume(self.request, action="reauthenticate", user=member):
            raise forms.ValidationError(_("Too many passwords were tried. Wait a minute, then try again."))
        if not member.check_password(password):
            raise forms.ValidationError(_("This is not your password. Type the one you sign in with."))
        return str(password)


class InterestForm(Form):
    """I sell this."""

    what = forms.ChoiceField(widget=forms.RadioSelect, label=_("What do you sell?"), initial="release")
    aliases = {"thing": "what"}

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {
            "release": release,
            "casting": release.casting,
            "line": release.line,
            "maker": release.line.maker,
        }
        words = {
            "release": _("This release: %(thing)s"),
            "casting": _("All of: %(thing)s"),
            "line": _("All of: %(thing)s"),
            "maker": _("Everything by: %(thing)s"),
        }
        self.fields["what"].choices = [  # type: ignore[attr-defined]
            (key, words[key] % {"thing": thing}) for key, thing in self.offered.items()
        ]

    def thing(self) -> Any:
        return self.offered[self.cleaned_data["what"]]
