"""End the sessions of a member: their role has changed, they were suspended, or they have left."""

from __future__ import annotations

from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session

from registry.models import Member


def sign_out_everywhere(member: Member) -> None:
    """Whatever browser the member is signed in with has to sign in anew. Inside the caller's transaction."""
    theirs = UserSession.objects.filter(user=member)
    Session.objects.filter(session_key__in=list(theirs.values_list("session_key", flat=True))).delete()
    theirs.delete()
