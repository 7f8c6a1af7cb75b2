"""`manage.py publish_edition`: the next numbered edition of the list."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions
from registry.errors import RegistryError
from registry.management.people import member_by_email


class Command(BaseCommand):
    help = (
        "Publish the next edition of the list, in the name of a moderator. Refuses where nothing has changed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--by", required=True, metavar="EMAIL", help="The moderator who publishes.")

    def handle(self, *, by: str, **options: Any) -> None:
        try:
            edition = actions.publish_edition(by=member_by_email(by), at=timezone.now())
        except RegistryError as refusal:
            raise CommandError(str(refusal)) from refusal
        folder = actions.edition_file(edition, "edition.json").parent
        self.stdout.write(f"{edition}: {edition.count} variants, in {folder}")
        self.stdout.write(f"edition.json has SHA-256 {edition.digest}")
