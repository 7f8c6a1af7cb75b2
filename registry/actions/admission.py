"""Who may act. Read afresh inside the caller's transaction, so that a suspension or a lost role counts at once."""

from __future__ import annotations

from registry.errors import AccountClosed, RoleRequired
from registry.models import Member, Role


def active(by: Member) -> Member:
    """The member as the database knows them now. Raises AccountClosed."""
    member = Member.objects.filter(pk=by.pk, is_active=True).first()
    if member is None:
        raise AccountClosed
    return member


def require(by: Member, role: Role) -> Member:
    """An active member holding the role now. Raises AccountClosed or RoleRequired."""
    member = active(by)
    if role not in member.roles:
        raise RoleRequired(
            f"Only a {role.label} may do this. A moderator can grant the role.", role=role.value
        )
    return member
