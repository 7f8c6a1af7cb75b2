"""`manage.py export`: the verified list as it stands now, published or not."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from registry.methods.edition import variants_csv, variants_ndjson
from registry.models import Variant

SHAPES = {"ndjson": variants_ndjson, "csv": variants_csv}


class Command(BaseCommand):
    help = (
        "Write the records of all verified variants as they stand now, in order of id. "
        "A published edition is the one to cite; this is the list of this minute."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--format", choices=SHAPES, default="ndjson", help="One JSON record a line, or one claim a row."
        )
        parser.add_argument("--output", type=Path, metavar="FILE", help="Where to; else to the terminal.")

    def handle(self, *, format: str, output: Path | None, **options: Any) -> None:
        verified = Variant.objects.verified().order_by("public_id")
        content = SHAPES[format](list(verified.values_list("record", "record_digest")))
        if output is None:
            self.stdout.write(content.decode(), ending="")
            return
        try:
            output.write_bytes(content)
        except OSError as fault:
            raise CommandError(f"--output: {output} cannot be written: {fault.strerror}.") from fault
        self.stderr.write(f"{verified.count()} verified variants written to {output}")
