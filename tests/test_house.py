"""The rules of the house: what the tree as a whole must keep to."""

import json
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.contrib.admindocs.views import simplify_regex
from django.core.management import call_command
from django.urls import URLPattern, URLResolver, get_resolver
from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

ROOT = Path(__file__).resolve().parents[1]
FRAME = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "requirements.txt", "requirements-dev.txt",
    "requirements-oracle.txt", "manage.py", "registry", "api", "fixtures", "tests", "docker-compose.yml", "Dockerfile",
    ".ci", ".dockerignore", ".gitattributes", ".gitignore",
}  # fmt: skip
MAY_COME = {"benchmarks", "docs"}
PINS = ("requirements.txt", "requirements-dev.txt", "requirements-oracle.txt")
LONGEST_FILE = 400


def ours(*under: str) -> list[Path]:
    """Files that are committed, or would be."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z", "--", *under],
        cwd=ROOT, check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    return [ROOT / name for name in sorted(filter(None, listed.split("\0"))) if (ROOT / name).is_file()]


def test_imports_point_down_only():
    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == EXIT_STATUS_SUCCESS


@pytest.mark.django_db
def test_no_model_has_changed_without_a_migration():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)  # ends the run when one is missing


def test_the_pins_name_no_host_and_carry_hashes():
    for name in PINS:
        text = (ROOT / name).read_text()
        pins = re.findall(r"^[a-z0-9][a-z0-9._-]*(?:\[.*\])?==\S+ \\$", text, re.MULTILINE)
        assert len(pins) > 20, name
        assert len(re.findall(r"^[^\s#]", text, re.MULTILINE)) == len(pins), f"{name}: a line is no plain pin"
        assert text.count("--hash=sha256:") >= len(pins), name
        assert "://" not in text, name
    assert not (ROOT / "uv.lock").exists()


def test_what_runs_is_pinned_the_same_for_development():
    pin = re.compile(r"^(\S+==\S+) \\$", re.MULTILINE)
    running, developing, comparing = (set(pin.findall((ROOT / name).read_text())) for name in PINS)
    assert running
    assert running <= developing <= comparing


def test_the_top_level_is_the_frame():
    names = {path.relative_to(ROOT).parts[0] for path in ours()}
    assert names - MAY_COME == FRAME


@pytest.mark.parametrize("folder", ["registry", "api", "tests", ".ci"])
def test_no_file_is_too_long_to_read(folder):
    code = [path for path in ours(folder) if path.suffix == ".py" and path.parent.name != "migrations"]
    assert code
    long = {str(path.relative_to(ROOT)): n for path in code if (n := lines(path)) > LONGEST_FILE}
    assert long == {}


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def routes(patterns: list[URLPattern | URLResolver], before: str = "") -> Iterator[str]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from routes(pattern.url_patterns, route)
        else:
            yield simplify_regex(route).replace("<", "{").replace(">", "}")


def test_every_route_of_the_api_is_in_its_document():
    document = json.loads((ROOT / "api" / "openapi.json").read_text())
    served = {route for route in routes(get_resolver().url_patterns) if route.startswith("/v1/")}
    assert served - {"/v1/openapi.json"} == set(document["paths"]) - {"/v1/openapi.json"}


def test_the_tests_have_settings_and_files_of_their_own(settings):
    """However they are started: the folder is one that tests/conftest.py made, never the checkout's own."""
    assert not Path(settings.HOME).resolve().is_relative_to(ROOT)
    assert Path(settings.STATIC_ROOT).is_dir()
