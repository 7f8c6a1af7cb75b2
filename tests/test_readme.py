"""What the README says is so: its commands, its settings, and its program that pulls the list."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from registry import actions
from tests.path import Scene, now

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_the_two_commands_come_first_and_are_one_line_each():
    demo, tests = blocks("sh")[:2]
    assert demo.count("\n") == tests.count("\n") == 1
    assert demo.endswith("manage.py demo\n")
    assert tests.endswith("manage.py test\n")


def test_the_table_lists_every_setting_that_is_read_and_no_other():
    settings = (ROOT / "registry" / "conf" / "settings.py").read_text(encoding="utf-8")
    read = set(re.findall(r'env\.\w+\(\s*"(\w+)"', settings))
    assert "CASTLORE_SECRET_KEY" in read
    assert set(re.findall(r"^\| `([A-Z_]+)` \|", README, re.MULTILINE)) == read


@pytest.mark.django_db(transaction=True)
def test_its_program_pulls_the_list_and_learns_that_nothing_is_newer(live_server, tmp_path):
    scene = Scene()
    variant = scene.baseline()
    actions.publish_edition(by=scene.moderator, at=now())

    [text] = blocks("python")
    assert len(text.splitlines()) <= 20
    program = tmp_path / "consumer.py"
    program.write_text(text)
    done = subprocess.run(
        [sys.executable, "-I", program, live_server.url], capture_output=True, text=True, timeout=30
    )

    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [f"{variant.public_id} {variant.title}", "Nothing newer."]
