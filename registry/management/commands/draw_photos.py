"""`manage.py draw_photos`: make what pages show of the photographs that came in before there was WebP."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from registry import actions
from registry.errors import RegistryError
from registry.models import Photo


class Command(BaseCommand):
    help = (
        "Draw in WebP the photographs that came in before pages showed them so; until then JPEG stands in. A run that "
        "was broken off goes on where it stopped. A photograph that cannot be drawn is named, and the command then "
        "ends with 1."
    )

    def handle(self, **options: Any) -> None:
        drawn = failed = 0
        for photo in Photo.objects.shown().order_by("pk").iterator(chunk_size=200):
            try:
                drawn += actions.draw_photo(photo=photo)
            except FileNotFoundError:
                failed += 1
                self.stderr.write(f"{photo.shown_id}: its file is missing. Put it back from a backup.")
            except RegistryError as why:
                failed += 1
                self.stderr.write(f"{photo.shown_id}: {why}")
        if failed:
            raise CommandError(f"{drawn} drawn; {failed} could not be")
        self.stdout.write(f"{drawn} drawn")
