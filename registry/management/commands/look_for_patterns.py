"""`manage.py look_for_patterns`: once a night, look for votes in lockstep and put them before the moderators."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from registry import actions


class Command(BaseCommand):
    help = (
        "Look for members whose votes move in lockstep, and open a concern for moderators to look into. "
        "It changes no vote and closes no account. Run it once a night."
    )

    def handle(self, **options: Any) -> None:
        opened = actions.look_for_lockstep(at=timezone.now())
        for concern in opened:
            self.stdout.write(f"{concern.shown_id}: {concern.members.count()} members")
        self.stdout.write(f"{len(opened)} new concern{'' if len(opened) == 1 else 's'}")
