"""`manage.py forget_addresses`: remove the hints of shared addresses that are older than 30 days."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from registry import actions
from registry.methods.guards import ADDRESS_KEPT


class Command(BaseCommand):
    help = f"Forget from which address prefixes members voted more than {ADDRESS_KEPT.days} days ago."

    def handle(self, **options: Any) -> None:
        gone = actions.forget_addresses(before=timezone.now() - ADDRESS_KEPT)
        self.stdout.write(f"{gone} forgotten")
