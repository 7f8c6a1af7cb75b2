"""What every test stands on: an environment of its own, and nothing left over from the test before.

Tests never see a developer's database, photographs or settings, whatever is set in the shell. Only
DATABASE_URL is taken from there: so the same tests run on PostgreSQL.
"""

import gc
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

HOME = tempfile.TemporaryDirectory(prefix="castlore-tests-")
for name in [name for name in os.environ if name.startswith("CASTLORE_")]:
    del os.environ[name]
os.environ |= {
    "DJANGO_SETTINGS_MODULE": "registry.conf.settings",
    "CASTLORE_DEBUG": "yes",  # a secret is not needed; pytest-django turns debug itself off again
    "CASTLORE_HOME": HOME.name,
    "CASTLORE_READ_RATE": "1000000/min",
    "CASTLORE_WRITE_RATE": "1000000/min",
    "CASTLORE_COMPARE_RATE": "1000000/min",
    "CASTLORE_QUOTA_FACTOR": "10000",
}
Path(HOME.name, "static").mkdir()


def pytest_configure(config: pytest.Config) -> None:
    if not config.pluginmanager.hasplugin("django"):
        return
    from django.conf import settings

    from registry.conf.translations import compile_translations

    compile_translations()
    # Settings are read here and not named in pyproject.toml, so that the environment above comes first.
    if settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        # A file, as in real life: the threads of a test server then have connections of their own.
        settings.DATABASES["default"].setdefault("TEST", {})["NAME"] = f"{HOME.name}/tests.sqlite3"


def pytest_unconfigure() -> None:
    HOME.cleanup()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if os.environ.get("DATABASE_URL"):
        return
    for item in items:
        if item.get_closest_marker("postgres"):
            item.add_marker(pytest.mark.skip(reason="needs PostgreSQL: set DATABASE_URL"))


@pytest.hookimpl(trylast=True)
def pytest_collection_finish() -> None:
    """What was imported stays to the end: looking through it for garbage again and again is 4 % of a run."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None) -> None:
    """Tests that commit are tidied up by emptying every table, the append-only ones too."""
    from django.db import connection

    empty = connection.ops.execute_sql_flush

    def empty_all(statements: list[str]) -> None:
        with append_only_lifted(connection):
            empty(statements if connection.vendor == "sqlite" else emptied_by_rows(connection))

    connection.ops.execute_sql_flush = empty_all


def emptied_by_rows(connection: Any) -> list[str]:
    """For PostgreSQL, which truncates a hundred small tables far more slowly than it deletes their few rows."""
    names = connection.introspection.django_table_names(only_existing=True, include_views=False)
    tables = [connection.ops.quote_name(name) for name in names]
    with connection.cursor() as cursor:
        questions = (f"EXISTS (SELECT FROM {name})" for name in tables)
        cursor.execute(f"SELECT {', '.join(questions)}")  # noqa: S608  (names of our own tables)
        filled = cursor.fetchone()
    return [f"DELETE FROM {name}" for name, is_filled in zip(tables, filled, strict=True) if is_filled]  # noqa: S608


@contextmanager
def append_only_lifted(connection: Any) -> Iterator[None]:
    """The triggers that guard append-only tables are off inside, and on again after."""
    on_sqlite = connection.vendor == "sqlite"
    find = (
        "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'append_only_%'"
        if on_sqlite
        else "SELECT tgname, tgrelid::regclass::text FROM pg_trigger WHERE tgname LIKE 'append_only_%'"
    )
    with connection.cursor() as cursor:
        cursor.execute(find)
        triggers = cursor.fetchall()
        assert triggers, "the guards of the append-only tables are gone"
        for name, of in triggers:
            cursor.execute(
                f"DROP TRIGGER {name}" if on_sqlite else f"ALTER TABLE {of} DISABLE TRIGGER {name}"
            )
    yield
    with connection.cursor() as cursor:
        for name, of in triggers:
            cursor.execute(of if on_sqlite else f"ALTER TABLE {of} ENABLE TRIGGER {name}")


@pytest.fixture(autouse=True)
def own_files_and_cache(request: pytest.FixtureRequest) -> None:
    """Each test with a database has files and counters of its own; its passwords are quick to check."""
    asks_for = {"db", "transactional_db", "live_server", "client"} & set(request.fixturenames)
    if not asks_for and not request.node.get_closest_marker("django_db"):
        return
    from django.core.cache import cache

    settings, folder = request.getfixturevalue("settings"), request.getfixturevalue("tmp_path")
    settings.MEDIA_ROOT = folder / "media"
    settings.CASTLORE_PUBLISH_ROOT = folder / "published"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.WHITENOISE_USE_FINDERS = False  # the test server serves static files itself
    cache.clear()


@pytest.fixture
def no_pair_kept(settings: Any, tmp_path: Path) -> None:
    """Comparisons of photographs are worked out anew."""
    place = {"LOCATION": str(tmp_path / "compared")}
    settings.CACHES = {**settings.CACHES, "compared": {**settings.CACHES["compared"], **place}}
