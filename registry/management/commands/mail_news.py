"""`manage.py mail_news`: one message to each member who asked, about what happened in what they follow."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions
from registry.errors import RegistryError
from registry.queries.watching import members_to_mail


class Command(BaseCommand):
    help = "Send each member who asked for it one message with all news since the last. Run it once a day."

    def handle(self, **options: Any) -> None:
        sent = failed = 0
        for member in members_to_mail().iterator(500):
            try:
                sent += actions.mail_news(member=member, at=timezone.now()) is not None
            except (RegistryError, OSError) as fault:  # OSError: the mail server's
                failed += 1
                self.stderr.write(f"{member.public_id}: {fault}")
        self.stdout.write(f"{sent} sent")
        if failed:
            raise CommandError(f"{failed} could not be sent")
