"""Translations are kept as text (.po) and compiled where they are used (.mo): Django reads only compiled ones.

By Babel, since a fresh machine has no gettext. The compiled files are left out of git.
"""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import NamedTemporaryFile

LOCALES = Path(__file__).resolve().parents[1] / "locale"


def compile_translations() -> None:
    """Compile each file that has changed since it was compiled. Several processes may do so at once."""
    for text in LOCALES.glob("*/LC_MESSAGES/*.po"):
        compiled = text.with_suffix(".mo")
        if not compiled.exists() or compiled.stat().st_mtime < text.stat().st_mtime:
            compile_one(text, compiled)


def compile_one(text: Path, compiled: Path) -> None:
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    with text.open("rb") as source:
        catalogue = read_po(source, locale=text.parts[-3])
    with NamedTemporaryFile(dir=compiled.parent, suffix=".new", delete=False) as made:
        write_mo(made, catalogue)
    os.chmod(made.name, 0o644)
    os.replace(made.name, compiled)
