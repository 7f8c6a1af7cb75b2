"""`manage.py grant_role`: how the first moderator is made; every later role may be granted on the site."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions
from registry.errors import RegistryError
from registry.management.people import member_by_email
from registry.models import Role, RoleGrant


class Command(BaseCommand):
    help = (
        "Give a member a role. The first moderator needs no --by: being able to run commands here is enough. "
        "Once there is a moderator, name the one who grants it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email", metavar="EMAIL", help="The address the member signs in with.")
        parser.add_argument("role", metavar="ROLE", help=f"One of: {', '.join(Role.values)}.")
        parser.add_argument("--by", metavar="EMAIL", help="The moderator who grants it.")

    def handle(self, *, email: str, role: str, by: str | None, **options: Any) -> None:
        granted_by = member_by_email(by) if by else None
        if granted_by is None and is_anybody_moderator():
            raise CommandError("There is a moderator already. Say who grants the role: --by EMAIL.")
        member = member_by_email(email)
        try:
            actions.grant_role(member=member, role=role, by=granted_by, at=timezone.now())
        except RegistryError as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"{member} is now a {Role(role).label}.")


def is_anybody_moderator() -> bool:
    held = RoleGrant.objects.filter(role=Role.MODERATOR, revoked_at=None, member__is_active=True)
    return held.exists()
