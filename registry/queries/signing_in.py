"""How a member signs in: by which steps, and where they are signed in now."""

from __future__ import annotations

from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession

from registry.models import Member

SECOND_STEPS = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)


def has_second_step(member: Member) -> bool:
    """A passkey or an authenticator app; codes for an emergency alone are none. Queries: 1."""
    return Authenticator.objects.filter(user=member, type__in=SECOND_STEPS).exists()


def session_keys(member: Member) -> list[str]:
    """Of every session that the member opened and did not end. Queries: 1."""
    return list(UserSession.objects.filter(user=member).values_list("session_key", flat=True))
