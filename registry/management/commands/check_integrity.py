"""`manage.py check_integrity`: whether anything that is kept has been bent, lost or swapped."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from registry.management.integrity import CHECKS, QUICK


class Command(BaseCommand):
    help = (
        "Check the journal's chain against itself and against what published lists vouch for, and the digests of "
        "revisions, records, lists and photographs. Names the first bad line. Ends with 1 where anything is wrong."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--quick",
            action="store_true",
            help="Only the journal and the revisions: no records, lists or photographs.",
        )

    def handle(self, *, quick: bool, **options: Any) -> None:
        wrong = 0
        for what in QUICK if quick else CHECKS:
            checked = CHECKS[what]()
            wrong += len(checked.faults)
            said = f"{len(checked.faults)} wrong" if checked.faults else "all as written"
            self.stdout.write(f"{checked.count:>8,} {what}: {said}")
            for words in checked.faults:
                self.stderr.write(f"- {words}")
        if wrong:
            raise CommandError(f"{wrong} thing{'s are' if wrong > 1 else ' is'} not as written")
        self.stdout.write("Nothing has been bent.")
