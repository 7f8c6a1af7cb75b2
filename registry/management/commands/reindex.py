"""`manage.py reindex`: after an update, write the words that every record is found by anew."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from registry.actions.index import index_anew


class Command(BaseCommand):
    help = (
        "Write the words that records are found by anew. They are kept up to date as things happen: run it once "
        "after an update that finds records by more words than before. It may run while the site serves."
    )

    def handle(self, **options: Any) -> None:
        self.stdout.write(f"{index_anew()} records can be found")
