"""`manage.py sweep_photos`: remove files of pictures that no photo shows; report missing ones. Safe to run again."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions


class Command(BaseCommand):
    help = (
        "Remove files of pictures that no photo shows and that are older than 24 hours. Ends with 1 where a photo's "
        "file is missing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="Say what would go; remove nothing.")

    def handle(self, *, dry_run: bool, **options: Any) -> None:
        swept = actions.sweep_photos(at=timezone.now(), dry_run=dry_run)
        done = "would be removed" if dry_run else "removed"
        self.stdout.write(
            f"{swept.looked_at:,} files: {len(swept.removed):,} {done}, {len(swept.waiting):,} younger than a day"
        )
        for key in swept.removed:
            self.stdout.write(f"- {key}")
        for key in swept.missing:
            self.stderr.write(f"missing: {key}")
        if swept.missing:
            raise CommandError(f"{len(swept.missing)} files are missing: bring them back from a backup.")
