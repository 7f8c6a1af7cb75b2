"""Our words, as the page that explains them heads them, and what leads to it from a search."""

from __future__ import annotations

import re

from django.utils import translation
from django.utils.translation import pgettext_lazy

from registry.queries.search import folded

TERMS = {
    "provisional": pgettext_lazy("glossary", "provisional"),
    "verified": pgettext_lazy("glossary", "verified"),
    "contested": pgettext_lazy("glossary", "contested"),
    "set-apart": pgettext_lazy("glossary", "set apart"),
    "struck": pgettext_lazy("glossary", "struck"),
    "merged": pgettext_lazy("glossary", "merged"),
    "split": pgettext_lazy("glossary", "split"),
    "open": pgettext_lazy("glossary", "open"),
    "confirmed": pgettext_lazy("glossary", "confirmed"),
    "disputed": pgettext_lazy("glossary", "disputed"),
    "refuted": pgettext_lazy("glossary", "refuted"),
    "still-missing": pgettext_lazy("glossary", "still missing"),
    "proposed": pgettext_lazy("glossary", "proposed"),
    "cause": pgettext_lazy("glossary", "cause"),
    "running-change": pgettext_lazy("glossary", "running change"),
    "baseline": pgettext_lazy("glossary", "baseline"),
    "parallel": pgettext_lazy("glossary", "parallel production"),
    "factory-error": pgettext_lazy("glossary", "factory error"),
    "altered": pgettext_lazy("glossary", "altered after sale"),
    "camera-or-light": pgettext_lazy("glossary", "a trick of camera or light"),
    "pre-production": pgettext_lazy("glossary", "pre-production sample"),
    "drift": pgettext_lazy("glossary", "drift, normal range"),
    "maker": pgettext_lazy("glossary", "maker, line"),
    "casting": pgettext_lazy("glossary", "casting"),
    "release": pgettext_lazy("glossary", "release"),
    "variant": pgettext_lazy("glossary", "variant"),
    "assortment": pgettext_lazy("glossary", "assortment"),
    "pack": pgettext_lazy("glossary", "pack"),
    "pack-version": pgettext_lazy("glossary", "pack version"),
    "bar-code": pgettext_lazy("glossary", "bar code"),
    "detail": pgettext_lazy("glossary", "detail"),
    "state": pgettext_lazy("glossary", "state"),
    "print": pgettext_lazy("glossary", "print (tampo)"),
    "tool-change": pgettext_lazy("glossary", "tool change"),
    "in-pack": pgettext_lazy("glossary", "in the blister or box"),
    "alterable": pgettext_lazy("glossary", "can be changed after sale"),
    "fidelity": pgettext_lazy("glossary", "true to the full-size subject"),
    "hard-to-judge": pgettext_lazy("glossary", "hard to judge"),
    "tell": pgettext_lazy("glossary", "tell"),
    "example": pgettext_lazy("glossary", "example"),
    "independent": pgettext_lazy("glossary", "independent examples"),
    "sealed": pgettext_lazy("glossary", "sealed"),
    "boxed": pgettext_lazy("glossary", "boxed"),
    "loose": pgettext_lazy("glossary", "loose"),
    "sealed-proof": pgettext_lazy("glossary", "sealed proof"),
    "mark": pgettext_lazy("glossary", "mark"),
    "raking-light": pgettext_lazy("glossary", "raking light"),
    "grey-card": pgettext_lazy("glossary", "grey card, 24-patch chart"),
    "member": pgettext_lazy("glossary", "member, reviewer, moderator"),
    "vote": pgettext_lazy("glossary", "vote"),
    "dispute": pgettext_lazy("glossary", "dispute"),
    "revision": pgettext_lazy("glossary", "revision"),
    "founding-rules": pgettext_lazy("glossary", "founding rules"),
    "fit": pgettext_lazy("glossary", "fit"),
    "journal": pgettext_lazy("glossary", "journal"),
    "sighting": pgettext_lazy("glossary", "sighting"),
    "looked-for": pgettext_lazy("glossary", "find"),
    "full-count": pgettext_lazy("glossary", "full count"),
    "packed-together": pgettext_lazy("glossary", "packed together"),
    "cabinet": pgettext_lazy("glossary", "cabinet"),
    "hunt": pgettext_lazy("glossary", "hunt"),
    "pocket-sheet": pgettext_lazy("glossary", "pocket sheet"),
    "comparison-sheet": pgettext_lazy("glossary", "comparison sheet"),
    "list": pgettext_lazy("glossary", "List"),
    "rules": pgettext_lazy("glossary", "rules, version of the rules"),
    "digest": pgettext_lazy("glossary", "digest, SHA-256"),
    "id": pgettext_lazy("glossary", "id"),
}
"""By the anchor on the page."""


def anchor_of(text: str) -> str | None:
    """Where a word of ours is explained, typed in English or in the reader's language, one or many of it."""
    typed = " ".join(folded(text).split())
    words = {typed, typed.removesuffix("s")} - {""}
    for language in (translation.get_language() or "en", "en"):
        with translation.override(language):
            for anchor, term in TERMS.items():
                if words & parts_of(term):
                    return anchor
    return None


def parts_of(term: object) -> set[str]:
    """Of "print (tampo)" and of "maker, line" each of both."""
    return {folded(part).strip() for part in re.split(r"[,()]", str(term))}
