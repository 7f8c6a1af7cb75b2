#!/usr/bin/env python3
"""Castlore's command line: `python3 manage.py COMMAND`; `python3 manage.py help` lists the commands.

Run by a Python outside any virtual environment, it first makes `.venv` beside this file from the pinned
requirements, or makes it anew when the pins have changed, and goes on in there. Inside a virtual environment
it uses what is installed.
"""

import hashlib
import os
import secrets
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
TOOLS = ROOT / ".tools"
PINS = ROOT / "requirements-dev.txt"
UV = "uv==0.13.9"


def enter_environment() -> None:
    """Replace this process by the same command under the Python of .venv."""
    python, note = VENV / "bin" / "python", VENV / "pins.sha256"
    digest = hashlib.sha256(PINS.read_bytes()).hexdigest()
    if not python.exists() or not note.is_file() or note.read_text() != digest:
        print("Setting up .venv from requirements-dev.txt ...", file=sys.stderr, flush=True)
        try:
            fill_with_uv(python)
        except (subprocess.CalledProcessError, OSError):
            print("uv did not manage it; trying with pip alone ...", file=sys.stderr, flush=True)
            fill_with_pip(python)
        note.write_text(digest)
    os.execv(python, [str(python), *sys.argv])


def fill_with_uv(python: Path) -> None:
    """Uv needs neither Debian's venv package nor a system-wide install, and is much the quicker."""
    uv = shutil.which("uv") or TOOLS / "bin" / "uv"
    if not Path(uv).exists():
        run(sys.executable, "-m", "pip", "install", "-qq", "--target", TOOLS, UV)
    run(uv, "venv", "--quiet", "--clear", "--python", sys.executable, VENV)
    run(uv, "pip", "sync", "--quiet", "--require-hashes", "--python", python, PINS)


def fill_with_pip(python: Path) -> None:
    """The pip beside this Python fills the environment from outside, so that it needs none of its own."""
    run(sys.executable, "-m", "venv", "--clear", "--without-pip", VENV)
    run(sys.executable, "-m", "pip", "--python", python, "install", "-qq", "--require-hashes", "-r", PINS)


def run(*command: str | Path) -> None:
    subprocess.run([str(word) for word in command], check=True)


def keep_secret() -> None:
    """The demo's secret: made once, kept in a file that git ignores, used where no other is set."""
    if os.environ.get("CASTLORE_SECRET_KEY") or os.environ.get("CASTLORE_SECRET_KEY_FILE"):
        return
    path = Path(os.environ.get("CASTLORE_HOME") or ROOT / ".castlore") / "secret"
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        with open(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(48))
    os.environ["CASTLORE_SECRET_KEY_FILE"] = str(path)


def main() -> None:
    if sys.prefix == sys.base_prefix:
        enter_environment()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.conf.settings")
    if sys.argv[1:2] in (["demo"], ["test"]):  # for trying out and developing; nothing else may assume debug
        os.environ.setdefault("CASTLORE_DEBUG", "yes")
    if sys.argv[1:2] == ["demo"]:
        keep_secret()
    from django.core.management import execute_from_command_line

    from registry.conf.translations import compile_translations

    compile_translations()
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
