"""`manage.py test`: the whole test suite, by pytest."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

ROOT = Path(__file__).resolve().parents[3]


class Command(BaseCommand):
    help = "Run the tests with pytest. Every further word goes to pytest: try `manage.py test -k standing`."
    requires_system_checks: list[str] = []

    def run_from_argv(self, argv: list[str]) -> None:
        """Become pytest: its options are its own, so nothing is parsed here."""
        if argv[2:] == ["--help"]:
            return super().run_from_argv(argv)
        os.chdir(ROOT)
        os.execve(sys.executable, pytest_command(argv[2:]), bare_environment())  # noqa: S606  (our own interpreter)

    def handle(self, *args: Any, **options: Any) -> None:
        """The way of `call_command("test")`, which must come back."""
        run = subprocess.run(pytest_command([]), cwd=ROOT, env=bare_environment())  # noqa: S603  (our own interpreter)
        if run.returncode:
            raise CommandError("Some tests failed.")


def pytest_command(words: list[str]) -> list[str]:
    return [sys.executable, "-m", "pytest", *words]


def bare_environment() -> dict[str, str]:
    """The environment without the settings' name, so that the tests set up their own before settings are read."""
    return {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
