"""Who may knock. Whether the step itself is allowed, the action decides."""

from __future__ import annotations

from typing import Any

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from registry.errors import SecondStepNeeded
from registry.models import Token

from .problems import Problem


class ReadOrScope(BasePermission):
    """Anybody reads what is public; all else needs a member, and of a token one of the scopes that the view names.

    A view says `is_private`, `read_scopes`, `write_scopes`, and `roles`: the role that a method needs, and with it
    the scope to moderate.
    """

    def has_permission(self, request: Request, view: Any) -> bool:
        is_read = request.method in SAFE_METHODS or view.changes_nothing
        if is_read and not view.is_private:
            return True
        if not request.user.is_authenticated:
            return False  # the framework answers 401
        role = view.roles.get(request.method)
        if isinstance(request.auth, Token):
            wanted = view.read_scopes if is_read else (Token.Scope.MODERATE,) if role else view.write_scopes
            if not set(wanted) & set(request.auth.scopes):
                raise Problem("scope-missing", f"This needs a token with the scope {' or '.join(wanted)}.")
        if role and role in request.user.waiting_roles:
            raise SecondStepNeeded
        if role and role not in request.user.roles:
            raise Problem(
                "role-required", f"Only a {role} may do this. A moderator can grant the role.", role=role
            )
        return True
