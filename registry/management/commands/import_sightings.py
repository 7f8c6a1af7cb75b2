"""Take a file of a member's sightings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from registry import actions
from registry.errors import RegistryError, SheetRefused
from registry.management.people import member_by_email


class Command(BaseCommand):
    help = "Take a member's file of sightings, NDJSON or CSV: all of it, or nothing and every fault."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "file", metavar="FILE", type=Path, help="UTF-8 text, as registry/methods/sheets.py describes."
        )
        parser.add_argument(
            "--by", metavar="EMAIL", required=True, help="The address of the member whose they are."
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="Keep nothing, and say what would be kept."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            data = options["file"].read_bytes()
        except OSError as fault:
            raise CommandError(f"{options['file']}: {fault.strerror}") from None
        by, at = member_by_email(options["by"]), timezone.now()
        try:
            done = actions.import_sightings(by=by, at=at, data=data, dry_run=options["dry_run"])
        except SheetRefused as refusal:
            for told in refusal.extra["faults"]:
                self.stderr.write("Line {line}: {field} {value!r}: {detail}".format(**told))
            raise CommandError("None was kept.") from None
        except RegistryError as refusal:
            raise CommandError(str(refusal)) from None
        for wrong in done.faults:
            self.stderr.write(str(wrong))
        kept = "would be kept" if options["dry_run"] else "kept"
        self.stdout.write(f"{done.new} {kept}, {done.known} known already, {len(done.faults)} with a fault.")
