"""An empty registry to measure: SQLite in a folder that goes away, or the database that DATABASE_URL names."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def empty_site() -> Iterator[None]:
    """Set up Django and its tables. Ends the program where the database already holds members."""
    with tempfile.TemporaryDirectory(prefix="castlore-bench-") as home:
        os.environ |= {
            "CASTLORE_HOME": home,
            "CASTLORE_DEBUG": "yes",
            "DJANGO_SETTINGS_MODULE": "registry.conf.settings",
        }
        import django
        from django.conf import settings

        django.setup()
        settings.DEBUG = False  # or every statement would be remembered
        from django.core.management import call_command

        from registry.models import Member

        call_command("migrate", verbosity=0)
        if Member.objects.exists():
            sys.exit("This database is not empty; name another by DATABASE_URL.")
        yield
