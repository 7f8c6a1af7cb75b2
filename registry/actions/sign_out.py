"""End the sessions of a member: their role has changed, they were suspended, or they have left."""

from __future__ import annotations

from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session

from registry.models import Member
from registry.queries.signing_in import session_keys


def sign_out_everywhere(member: Member) -> None:
    """Whatever browser the member is signed in with has to sign in anew. Inside the caller's transaction."""
    Session.objects.filter(session_key__in=session_keys(member)).delete()
    UserSession.objects.filter(user=member).delete()
