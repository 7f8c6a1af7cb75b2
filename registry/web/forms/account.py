"""Tokens, the end of an account, and the private cabinet."""

from __future__ import annotations

from typing import Any

from allauth.core import ratelimit
from django import forms
from django.conf import settings
from django.http import HttpRequest

from registry.models import Condition, Release, Token, Variant
from registry.web.people import signed_in


class TokenForm(forms.Form):
    """Lets another program act for me."""

    name = forms.CharField(
        max_length=60, label="What is it for?", help_text="In your words, such as: shelf list."
    )
    scopes = forms.MultipleChoiceField(
        choices=Token.Scope.choices,
        widget=forms.CheckboxSelectMultiple,
        label="What may it do?",
        initial=["read"],
    )
    days = forms.IntegerField(
        min_value=1, max_value=settings.CASTLORE_TOKEN_MAX_DAYS, initial=90, label="Days until it ends"
    )


class EraseForm(forms.Form):
    """Only who knows the password may erase the account."""

    credit = forms.ChoiceField(
        choices=[("uncredited", "No name at all: “uncredited”"), ("keep", "My name, as now")],
        widget=forms.RadioSelect,
        initial="uncredited",
        label="What shall stand beside my photographs?",
    )
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        strip=False,
        label="My password",
    )

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request

    def clean_password(self) -> str:
        """As for signing in again, only so many may be tried in a minute."""
        password, member = self.cleaned_data["password"], signed_in(self.request)
        if not ratelimit.consume(self.request, action="reauthenticate", user=member):
            raise forms.ValidationError("Too many passwords were tried. Wait a minute, then try again.")
        if not member.check_password(password):
            raise forms.ValidationError("This is not your password. Type the one you sign in with.")
        return str(password)


class ItemForm(forms.Form):
    """What I own of a release."""

    variant = forms.ModelChoiceField(
        Variant.objects.none(),
        required=False,
        to_field_name="public_id",
        label="Which one is it?",
        empty_label="not checked yet",
    )
    condition = forms.ChoiceField(choices=Condition.choices, label="Condition")
    count = forms.IntegerField(min_value=1, max_value=10_000, initial=1, label="How many")
    to_swap = forms.IntegerField(min_value=0, max_value=10_000, initial=0, label="Of these to swap")
    note = forms.CharField(max_length=300, required=False, label="Private note")

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        variants = Variant.objects.live().filter(release=release)
        self.fields["variant"].queryset = variants.order_by("noticed_on", "id")  # type: ignore[attr-defined]


class ChangeItemForm(ItemForm):
    """The same, for what is in the cabinet already."""

    revision = forms.IntegerField(widget=forms.HiddenInput)


class InterestForm(forms.Form):
    """I sell this."""

    what = forms.ChoiceField(widget=forms.RadioSelect, label="What do you sell?", initial="release")
    aliases = {"thing": "what"}

    def __init__(self, release: Release, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {
            "release": release,
            "casting": release.casting,
            "line": release.line,
            "maker": release.line.maker,
        }
        words = {"release": "This release", "casting": "All of", "line": "All of", "maker": "Everything by"}
        self.fields["what"].choices = [  # type: ignore[attr-defined]
            (key, f"{words[key]}: {thing}") for key, thing in self.offered.items()
        ]

    def thing(self) -> Any:
        return self.offered[self.cleaned_data["what"]]
