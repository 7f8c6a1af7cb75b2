"""`manage.py hash_photos`: compare the photographs that came in before photographs were compared."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from registry import actions
from registry.models import Photo


class Command(BaseCommand):
    help = (
        "Compare the photographs that came in before photographs were compared, oldest first. A run that was broken "
        "off goes on where it stopped. A photograph whose file is missing is named, and the command then ends with 1."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--batch", type=int, default=200, help="Photographs read at a time (200).")

    def handle(self, *, batch: int, **options: Any) -> None:
        if batch < 1:
            raise CommandError(f"--batch is {batch}; give a number of photographs, at least 1.")
        done = alike = missing = last = 0
        waiting = Photo.objects.shown().filter(compared_at=None).order_by("pk")
        while photos := list(waiting.filter(pk__gt=last)[:batch]):
            for photo in photos:
                try:
                    alike += bool(actions.compare_photo(photo=photo, at=timezone.now()).alike)
                    done += 1
                except FileNotFoundError:
                    missing += 1
                    self.stderr.write(f"{photo.shown_id}: its file is missing. Put it back from a backup.")
            last = photos[-1].pk
        told = f"{done} compared, {alike} of them like another"
        if missing:
            raise CommandError(f"{told}; {missing} could not be read")
        self.stdout.write(told)
