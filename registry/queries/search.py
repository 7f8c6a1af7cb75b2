"""Find records by words, on either database, through the trigram index."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import TypeVar

from django.db import connection, models
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from registry.models import SearchEntry, SearchKind

M = TypeVar("M", bound=models.Model)
MOST_WORDS = 8
SHORTEST = 3
"""A trigram index answers only for three letters and more; shorter words are matched within what those found."""


def folded(text: str) -> str:
    """Lower case, compatibility forms resolved, accents, controls and halves of symbols dropped."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(
        symbol
        for symbol in plain
        if symbol.isspace() or unicodedata.category(symbol) not in ("Mn", "Cc", "Cf", "Cs", "Co", "Cn")
    )


def words_of(text: str) -> list[str]:
    """The folded words of a query, the longest first, at most eight."""
    words = dict.fromkeys(re.findall(r"[^\s\"'()*]+", folded(text[:200])))
    return sorted(words, key=len, reverse=True)[:MOST_WORDS]


def entries(text: str, kinds: Iterable[str] = ()) -> QuerySet[SearchEntry]:
    """Entries that hold every word of the text. None when no word has three letters: too little to go by."""
    words = words_of(text)
    long = [word for word in words if len(word) >= SHORTEST]
    if not long:
        return SearchEntry.objects.none()
    found = SearchEntry.objects.all()
    if connection.vendor == "sqlite":
        quoted = " AND ".join(f'"{word}"' for word in long)
        rows = RawSQL("SELECT rowid FROM registry_searchwords WHERE registry_searchwords MATCH %s", (quoted,))
        found = found.filter(pk__in=rows)
    else:
        for word in long:
            found = found.filter(words__contains=word)
    for word in words[len(long) :]:
        found = found.filter(Q(words__startswith=word) | Q(words__contains=f" {word}"))
    kinds = list(kinds)
    return found.filter(kind__in=kinds) if kinds else found


def find(text: str, kinds: Iterable[str] = (), limit: int = 20) -> list[SearchEntry]:
    """The best few entries: those whose title begins with the first word of the text come first."""
    first = next(iter(folded(text[:200]).split()), "")
    begins = models.Case(models.When(title__istartswith=first, then=0), default=1)
    return list(entries(text, kinds).order_by(begins, "title", "pk")[:limit])


def matching(rows: QuerySet[M], kind: SearchKind | str, text: str) -> QuerySet[M]:
    """Only those rows of a queryset whose search entry holds every word of the text."""
    return rows.filter(public_id__in=entries(text, [kind]).values("public_id"))
