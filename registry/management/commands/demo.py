"""`manage.py demo`: an invented world, the whole main path on top of it, and the site to look at it."""

from __future__ import annotations

import socket
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from registry.errors import RegistryError
from registry.management.scenario.accounts import open_accounts
from registry.management.scenario.files import ScenarioFault, read_scenario
from registry.management.scenario.names import Names
from registry.management.scenario.pull import LOOPBACK
from registry.management.scenario.telling import Teller, standings_table
from registry.management.scenario.timeline import events, play
from registry.management.scenario.walk import Walk
from registry.models import JournalEntry, Maker, Member


class Command(BaseCommand):
    help = (
        "Fill an empty database with an invented catalogue, its members and what they reported, then walk "
        "the whole path on it: report, evidence, votes, List no. 1, dispute, correction, List no. 2. Serves "
        "the site on this machine afterwards. Run again, it finds what is there and does nothing twice."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="Stop after the path; serve nothing.")
        parser.add_argument("--port", type=int, default=8000, help="Where to serve. Default: 8000.")
        parser.add_argument(
            "--fixtures",
            type=Path,
            default=settings.BASE_DIR / "fixtures",
            help="Another folder laid out like fixtures/: scenario/*.yaml, pictures/*.jpg and pictures/truth.json.",
        )

    def handle(self, *, no_serve: bool, port: int, fixtures: Path, **options: Any) -> None:
        if not no_serve:
            refuse_unless_servable(port)
        try:
            names = Names(read_scenario(fixtures))
            refuse_other_data(names)
            call_command("migrate", verbosity=0)
            self.load(names)
            tell = Teller(self.stdout.write, f"http://{LOOPBACK}:{port}")
            tell.heading("The main path, step by step")
            Walk(names, tell).go()
            tell.heading("Where the variants stand")
            standings_table(self.stdout.write)
            self.print_accounts(names, tell)
        except (ScenarioFault, RegistryError) as fault:
            raise CommandError(str(fault)) from fault
        if not no_serve:
            self.stdout.write(f"\nThe site is at {tell.site}/ until you stop it with Ctrl-C.")
            call_command("runserver", f"{LOOPBACK}:{port}", use_reloader=False)

    def load(self, names: Names) -> None:
        if is_loaded(names):
            self.stdout.write("The demonstration is in this database already; nothing of it is loaded again.")
            return
        scenario, history = names.scenario, events(names)
        self.stdout.write(
            f"Loading an invented world: {len(scenario.members)} members, {len(scenario.releases)} releases, "
            f"{len(scenario.pictures)} pictures. {len(history)} things happened; all or none are kept."
        )
        tenth = -(-len(history) // 10)

        def played(done: int) -> None:
            if done % tenth == 0 or done == len(history):
                day = history[done - 1].day
                self.stdout.write(f"  {done:>4} of {len(history)}, up to {day:%B %Y}")
                self.stdout.flush()

        play(history, played)

    def print_accounts(self, names: Names, tell: Teller) -> None:
        tell.heading("Accounts to sign in with")
        for what, member, password in open_accounts(names):
            self.stdout.write(f"     {what:<10} {member.email:<34} {password}   ({member})")
        tell.line(f"Sign in at {tell.address('account_login')}")


def refuse_unless_servable(port: int) -> None:
    """Before anything is done: the site can be served at the end of it."""
    if not settings.DEBUG:
        raise CommandError(
            "The demo serves its site with debug on, and CASTLORE_DEBUG says no. Unset it, or add --no-serve."
        )
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((LOOPBACK, port))
        except (OSError, OverflowError) as fault:
            raise CommandError(
                f"--port: {port} cannot be used ({fault}). Choose another, such as --port 8642."
            ) from fault


def refuse_other_data(names: Names) -> None:
    """Demo data never mixes with other data. Nothing has been migrated or written when this refuses."""
    if is_loaded(names):
        return
    tables = set(connection.introspection.table_names())
    for model in (Member, Maker, JournalEntry):
        if model._meta.db_table in tables and model._default_manager.exists():
            raise CommandError(
                "This database holds other than demo data, and the demo would mix with it. Name an empty one "
                "by DATABASE_URL, or an empty folder by CASTLORE_HOME."
            )


def is_loaded(names: Names) -> bool:
    """The first moderator of the scenario is a member here: the history was loaded, since it is all or none."""
    if Member._meta.db_table not in connection.introspection.table_names():
        return False
    first = names.scenario.files["members"]["first_moderator"]
    return Member.objects.filter(email=names.address(first)).exists()
