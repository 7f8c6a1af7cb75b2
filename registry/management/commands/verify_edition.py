"""`manage.py verify_edition`: whether a published edition is whole, and follows the one before it."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from registry.management.editions import (
    EditionUnreadable,
    check_edition,
    check_rebuilding,
    edition_folder,
    find_edition,
    read_edition,
)
from registry.methods.edition import changes


class Command(BaseCommand):
    help = (
        "Check a published edition: its digests, its counts, its records, and that it follows the edition "
        "before it, with nothing left out in silence. Ends with 1 and says what is wrong where anything is."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "edition", metavar="DIR_OR_NUMBER", help="A number of this registry, or a folder with its files."
        )
        parser.add_argument(
            "--previous",
            metavar="DIR_OR_NUMBER",
            help="The edition before it. A number is checked against the number before it without being told.",
        )

    def handle(self, *, edition: str, previous: str | None, **options: Any) -> None:
        if previous is None and edition.isdecimal() and int(edition) > 1:
            previous = str(int(edition) - 1)
        try:
            folder = edition_folder(edition)
            files = read_edition(folder)
            before = read_edition(edition_folder(previous)) if previous else None
            wrong = check_edition(files, before)
            if edition.isdecimal():
                wrong += check_rebuilding(find_edition(int(edition)), folder)
        except EditionUnreadable as fault:
            raise CommandError(str(fault)) from fault
        if wrong:
            self.stderr.write("\n".join(f"- {words}" for words in wrong))
            raise CommandError(f"{folder}: {len(wrong)} thing{'s are' if len(wrong) > 1 else ' is'} wrong")
        lines = files["variants.ndjson"].count(b"\n")
        self.stdout.write(f"{folder}: {lines} records, all as stated.")
        if before:
            counts = {word: len(ids) for word, ids in changes(files, before).items()}
            told = ", ".join(f"{count} {word}" for word, count in counts.items())
            self.stdout.write(f"It follows the edition before it: {told}.")
