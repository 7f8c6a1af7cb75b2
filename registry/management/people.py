"""Members as the command line names them: by the address they sign in with."""

from __future__ import annotations

from django.core.management.base import CommandError

from registry.models import Member


def member_by_email(email: str) -> Member:
    """Errors: CommandError where nobody has an account under the address."""
    member = Member.objects.filter(email=email.strip().lower()).first()
    if member is None:
        raise CommandError(f"Nobody has an account under {email!r}. Check the spelling, or sign up first.")
    return member
