"""Signing up, with the right status where the form cannot be taken."""

from __future__ import annotations

from allauth.account.views import SignupView as AllauthSignupView
from django import forms
from django.http import HttpResponse


class SignupView(AllauthSignupView):
    """Of a form that cannot be taken the answer says so in its status too."""

    def form_invalid(self, form: forms.Form) -> HttpResponse:
        answer: HttpResponse = super().form_invalid(form)
        answer.status_code = 422
        return answer
