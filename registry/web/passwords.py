"""What a password must be: Django's own rules, each with the remedy in our words."""

from __future__ import annotations

from django.contrib.auth import password_validation as rules
from django.utils.translation import gettext as _


class NotLikeTheAddress(rules.UserAttributeSimilarityValidator):
    def get_error_message(self) -> str:
        return _("It is too much like your e-mail address. Choose another.")


class LongEnough(rules.MinimumLengthValidator):
    def get_error_message(self) -> str:
        return _("Make it longer: %(n)d characters or more.") % {"n": self.min_length}


class NotCommon(rules.CommonPasswordValidator):
    def get_error_message(self) -> str:
        return _("Many people use this one, so it is guessed first. Choose another.")
