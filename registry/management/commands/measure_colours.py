"""`manage.py measure_colours`: measure the colours of marks that are not measured yet."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from registry import actions
from registry.actions.colours import unmeasured


class Command(BaseCommand):
    help = (
        "Measure the colours of marks that are not measured yet by the latest chart of their photograph: those made "
        "before this could be done, or whose measuring was broken off. Safe to run again."
    )

    def handle(self, **options: Any) -> None:
        photos = list(unmeasured())
        done = sum(actions.measure_photo(photo=photo, at=timezone.now()) for photo in photos)
        self.stdout.write(f"{done} marks measured in {len(photos)} photographs.")
