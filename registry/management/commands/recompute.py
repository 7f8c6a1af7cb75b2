"""`manage.py recompute`: decide every standing anew from the facts, or only check that nothing would change."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from registry import actions
from registry.actions.settle import CLAIM_COLUMNS, VARIANT_COLUMNS
from registry.errors import RegistryError
from registry.models import Claim, Release, Variant

Stored = dict[tuple[str, str], tuple[Any, ...]]


class Command(BaseCommand):
    help = (
        "Decide the standings of every release anew from its votes and evidence. They are kept up to date as "
        "things happen, so nothing should change. With --check nothing is written, and a difference ends with 1."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="Say what would change; change nothing.")

    def handle(self, *, check: bool, **options: Any) -> None:
        releases = list(Release.objects.current().filter(variants__isnull=False).distinct().order_by("pk"))
        changed = failed = 0
        for done, release in enumerate(releases, start=1):
            try:
                differences = recompute(release, keep=not check)
            except (RegistryError, ValueError) as fault:
                failed += 1
                self.stderr.write(f"{release}: {fault}")
                continue
            changed += len(differences)
            for difference in differences:
                self.stdout.write(f"{release}: {difference}")
            if done % 100 == 0 or done == len(releases):
                self.stdout.write(f"{done} of {len(releases)} releases")
        told = f"{changed} {'would change' if check else 'changed'}"
        if failed:
            raise CommandError(f"{failed} of {len(releases)} releases could not be recomputed; {told}")
        if check and changed:
            raise CommandError(f"{told}. Run recompute without --check to bring them in line.")
        self.stdout.write(told)


@transaction.atomic
def recompute(release: Release, keep: bool) -> list[str]:
    """What settling changes, in words; without `keep` everything is put back as it was."""
    before = stored(release)
    actions.settle_release(release=release, at=timezone.now())
    after = stored(release)
    transaction.set_rollback(not keep)
    return [
        f"{kind} {name}: {was[0]} becomes {after[kind, name][0]}"
        if was[0] != after[kind, name][0]
        else f"{kind} {name}: {was[0]} as before, what is kept beside it differs"
        for (kind, name), was in before.items()
        if was != after[kind, name]
    ]


def stored(release: Release) -> Stored:
    """Standing first, then all else that is kept beside it."""
    rows: Stored = {}
    for claim in Claim.objects.filter(variant__release=release):
        rows["claim", claim.public_id] = tuple(getattr(claim, column) for column in CLAIM_COLUMNS)
    for variant in Variant.objects.filter(release=release):
        rows["variant", variant.public_id] = tuple(getattr(variant, column) for column in VARIANT_COLUMNS)
    return rows
