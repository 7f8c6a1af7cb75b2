"""End sessions of a member: all of them where their role has changed, they were suspended or have left; or one."""

from __future__ import annotations

from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session

from registry.errors import NotFound
from registry.models import Member


def sign_out_everywhere(member: Member) -> None:
    """Whatever browser the member is signed in with has to sign in anew. Inside the caller's transaction."""
    theirs = UserSession.objects.filter(user=member)
    Session.objects.filter(session_key__in=list(theirs.values_list("session_key", flat=True))).delete()
    theirs.delete()


def sign_out_of(*, by: Member, number: int) -> None:
    """End one session of their own, such as that of a lost phone. Errors: NotFound for any other."""
    session = UserSession.objects.filter(user=by, pk=number).first()
    if session is None:
        raise NotFound
    session.end()
