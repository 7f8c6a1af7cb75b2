"""`manage.py grant_role`: how the first moderator is made; every later role may be granted on the site."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions
from registry.errors import RegistryError
from registry.management.people import member_by_email
from registry.models import Role
from registry.queries.reviewers import active_moderators


class Command(BaseCommand):
    help = (
        "Give a member a role. The first moderator needs no --by: being able to run commands here is enough. "
        "Once there is a moderator, name the one who grants it; once there are two, another has to confirm it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email", metavar="EMAIL", help="The address the member signs in with.")
        parser.add_argument("role", metavar="ROLE", help=f"One of: {', '.join(Role.values)}.")
        parser.add_argument("--by", metavar="EMAIL", help="The moderator who grants it.")
        parser.add_argument("--reason", default="Granted on the command line.", help="Kept in the journal.")

    def handle(self, *, email: str, role: str, by: str | None, reason: str, **options: Any) -> None:
        granted_by = member_by_email(by) if by else None
        if granted_by is None and is_anybody_moderator():
            raise CommandError("There is a moderator already. Say who grants the role: --by EMAIL.")
        member = member_by_email(email)
        at, word = timezone.now(), Role(role).label if role in Role.values else role
        try:
            if granted_by is None:
                actions.grant_role(member=member, role=role, by=None, at=at)
                waits = None
            else:
                said = {"member": member.public_id, "role": role}
                waits = actions.two_persons.ask(
                    kind="role.grant", detail=said, reason=reason, by=granted_by, at=at
                )
        except RegistryError as refusal:
            raise CommandError(str(refusal)) from refusal
        if waits:
            self.stdout.write(f"{member} will be a {word} once another moderator confirms it on the site.")
        else:
            self.stdout.write(f"{member} is now a {word}.")


def is_anybody_moderator() -> bool:
    return active_moderators().exists()
