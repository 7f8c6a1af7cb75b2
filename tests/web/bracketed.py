"""A language in which every sentence that can be translated stands in brackets, and what of a page stands outside."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from typing import Any

from django.apps import apps
from django.db import models
from django.utils import translation

from registry.methods import reasons
from registry.sentences import Sentence

READ = {"title", "alt", "placeholder", "aria-label", "content", "data-label", "data-steps"}
"""Attributes that are read out or shown."""
UNREAD = {"script", "style", "code", "kbd"}


@contextmanager
def brackets() -> Iterator[None]:
    """Whatever asks for a translation gets the English in ⟦ ⟧."""
    translators: Any = translation._trans  # type: ignore[attr-defined]
    kept = {name: getattr(translators, name) for name in ("gettext", "ngettext", "pgettext", "npgettext")}
    translators.gettext = lambda one: f"⟦{one}⟧" if one else ""
    translators.ngettext = lambda one, many, n: f"⟦{one if n == 1 else many}⟧"
    translators.pgettext = lambda context, one: f"⟦{one}⟧"
    translators.npgettext = lambda context, one, many, n: f"⟦{one if n == 1 else many}⟧"
    try:
        yield
    finally:
        for name, own in kept.items():
            setattr(translators, name, own)


class Frame(HTMLParser):
    """A page without what is read on it: how many of each element there are, with its attributes."""

    CHANGES = READ | {"lang", "nonce"}
    CHOOSER = "language"

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: Counter[tuple[str, ...]] = Counter()
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if given.get("name") in ("csrfmiddlewaretoken", self.CHOOSER) or "/words/" in (
            given.get("src") or ""
        ):
            return
        kept = {name: value for name, value in given.items() if name not in self.CHANGES}
        self.elements[(tag, *(f"{name}={value}" for name, value in sorted(kept.items())))] += 1


class Read(HTMLParser):
    """Every text of a page that somebody reads."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.skipping: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in UNREAD:
            self.skipping.append(tag)
        given = dict(attrs)
        self.texts += [value for name, value in attrs if name in READ and value and tag != "meta"]
        if tag == "input" and given.get("type") in ("submit", "button") and given.get("value"):
            self.texts.append(str(given["value"]))
        if tag == "meta" and given.get("name") == "description":
            self.texts.append(str(given.get("content")))

    def handle_endtag(self, tag: str) -> None:
        if self.skipping and self.skipping[-1] == tag:
            self.skipping.pop()

    def handle_data(self, data: str) -> None:
        # Text is gathered per page, so that a bracketed sentence with elements inside is seen whole.
        if not self.skipping:
            self.texts.append(data)


def typed() -> set[str]:
    """Every text that is kept in the database, but for reasons of ours: people typed it, nobody translates it."""
    kept: set[str] = set()
    for model in apps.get_app_config("registry").get_models():
        for field in model._meta.concrete_fields:
            if isinstance(field, models.CharField | models.TextField) or field.name in ("nicknames", "value"):
                for value in model._base_manager.values_list(field.name, flat=True).distinct():
                    each = value if isinstance(value, list) else [value]
                    kept |= {" ".join(str(one).split()) for one in each}
    return {value for value in kept if re.search(r"[^\W\d_]{2}", value) and not is_ours(value)}


def is_ours(value: str) -> bool:
    return any(isinstance(reasons.read(value, forms), Sentence) for forms in (reasons.FORMS, reasons.DEEDS))


NO_WORDS = (
    r"[0-9a-z]{4}-[0-9a-z]{4}-[0-9a-z]{4}|https?://\S+|[\d.]+ ± [\d.]+ mm|variants\.\w+(?:\.gz)?|[\w-]*\.json"
)
"""Ids, addresses, lengths and names of files."""


def any_of(known: set[str]) -> re.Pattern[str]:
    """One pattern for whatever was typed, the longest first."""
    longest = sorted(known, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{NO_WORDS}|{'|'.join(map(re.escape, longest))})(?!\w)", re.IGNORECASE)


def outside_brackets(page: str, known: re.Pattern[str]) -> list[str]:
    """What is read on the page, stands in no brackets, and was not typed by anybody."""
    text = "\n".join(Read(page).texts)
    while "⟦" in text:
        text, found = re.subn(r"⟦[^⟦⟧]*⟧", " | ", text)
        assert found, "a bracket that is never closed: a sentence was cut"
    parts = (known.sub(" ", " ".join(part.split())) for part in re.split(r"[|\n]", text))
    return [part.strip() for part in parts if re.search(r"[^\W\d_]{2}", part)]
