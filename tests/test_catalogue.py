"""The German catalogue is whole: whatever pages, scripts and refusals say has a translation, with the same parts.

Messages are gathered anew, by Babel (pybabel.readthedocs.io) and Django's own reading of templates, so that no
gettext is needed here; `manage.py makemessages -l de` then writes the file.
"""

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import read_po
from django.conf import settings
from django.utils.translation.template import templatize

ROOT = Path(settings.BASE_DIR)
CALLS: dict[str, tuple | None] = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "Sentence": (1,),
    "counted": (1, 2),
}
OPTIONS = {"parse_template_string": True}  # of JavaScript; Python knows no such option
OTHER_PARTS = {"%(small)s": "%(typed)s"}
"""A name inside a sentence: German takes it as it was typed, see `inside` in registry/sentences.py."""
PART = re.compile(r"%\((\w+)\)[sdi]")
TAG = re.compile(r"</?[a-z][^>]*>")


def catalogue(domain: str) -> Catalog:
    path = ROOT / "registry" / "locale" / "de" / "LC_MESSAGES" / f"{domain}.po"
    with path.open("rb") as file:
        return read_po(file, locale="de")


def said_in(domain: str) -> Iterator[tuple[str, str | tuple[str, ...]]]:
    """Where something is said, and what: a message, or those for one and for many."""
    if domain == "djangojs":
        for path in (ROOT / "registry" / "static" / "registry").glob("*.js"):
            yield from found(path.name, "javascript", path.read_bytes())
        return
    for path in sorted((ROOT / "registry").rglob("*.py")) + sorted((ROOT / "api").rglob("*.py")):
        yield from found(str(path.relative_to(ROOT)), "python", path.read_bytes())
    for path in sorted((ROOT / "registry" / "templates").rglob("*.*")):
        code = templatize(path.read_text(), origin=str(path))
        lines = "\n".join(line.strip() for line in code.splitlines())
        yield from found(path.name, "python", lines.encode())


def found(where: str, kind: str, text: bytes) -> Iterator[tuple[str, str | tuple[str, ...]]]:
    for line, message, _, _ in extract(kind, BytesIO(text), CALLS, options=OPTIONS):
        yield f"{where}:{line}", message


@pytest.mark.parametrize("domain", ["django", "djangojs"])
def test_whatever_is_said_is_translated_and_nothing_else(domain):
    known = catalogue(domain)
    here = {message: where for where, message in said_in(domain)}
    ids = {message if isinstance(message, str) else message[0]: where for message, where in here.items()}
    assert len(ids) > 50
    lacking = {one: where for one, where in ids.items() if not whole(known, one)}
    assert lacking == {}
    stale = {m.id if isinstance(m.id, str) else m.id[0] for m in known if m.id} - set(ids)
    assert stale == set()


def whole(known: Catalog, message: str) -> bool:
    entry = next(
        (known.get(message, context) for context in contexts(known) if known.get(message, context)), None
    )
    if entry is None or entry.fuzzy:
        return False
    return all(entry.string) if isinstance(entry.string, tuple | list) else bool(entry.string)


def contexts(known: Catalog) -> set[str | None]:
    return {None} | {message.context for message in known}


@pytest.mark.parametrize("domain", ["django", "djangojs"])
def test_a_translation_has_the_parts_and_the_elements_of_its_message(domain):
    for entry in catalogue(domain):
        if not entry.id:
            continue
        if entry.id in OTHER_PARTS:
            assert entry.string == OTHER_PARTS[entry.id]
            continue
        ids = [entry.id] if isinstance(entry.id, str) else list(entry.id)
        strings = [entry.string] if isinstance(entry.string, str) else list(entry.string)
        allowed = {part for one in ids for part in PART.findall(one)}
        for string in strings:
            assert set(PART.findall(string)) <= allowed, entry.id
            # in the form for one, a number may be left out, as English does
            least = set(PART.findall(ids[-1])) - (
                {"n", "number", "owners", "count"} if len(strings) > 1 else set()
            )
            assert least <= set(PART.findall(string)), entry.id
            assert sorted(TAG.findall(string)) == sorted(TAG.findall(ids[-1])), entry.id
            assert not re.search(r"%(?![(%\s])", string) or re.search(r"%(?![(%\s])", ids[0]), entry.id
