"""Find records by words, on either database, through the trigram index."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import reduce
from operator import or_
from typing import TypeVar

from django.db import connection, models
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from registry.methods.identifiers import gtins_near, parse_gtin
from registry.methods.spelling import number_keys, pieces, slips, slips_allowed, with_packs_spelled
from registry.models import Pack, PackKind, SearchEntry, SearchKind
from registry.models.base import in_english

M = TypeVar("M", bound=models.Model)
MOST_WORDS = 8
SHORTEST = 3
"""A trigram index answers only for three letters and more; shorter words are matched within what those found."""
LONG_ENOUGH = 6
"""Letters of a word of which each may be asked for; of shorter ones, any piece of any of them."""
COMPARED = 400
"""Entries at most that are compared letter by letter with what was typed."""

NUMBERED = (SearchKind.RELEASE, SearchKind.ASSORTMENT)
"""Their hint begins with the number or case code by which they are known."""


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
    words = dict.fromkeys(re.findall(r"[^\s\"'()*]+", as_indexed(folded(text[:200]))))
    return sorted(words, key=len, reverse=True)[:MOST_WORDS]


def as_indexed(text: str) -> str:
    """Folded text with the kinds of packs as the index has them, whether as the reader's language calls them or with
    a figure: "two-pack" for "2 pack".
    """
    for kind in PackKind:
        text = text.replace(folded(str(kind.label)), folded(in_english(kind.label)))
    return with_packs_spelled(text)


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
    return of_kinds(found, kinds)


def of_kinds(found: QuerySet[SearchEntry], kinds: Iterable[str]) -> QuerySet[SearchEntry]:
    """Only these kinds; with none named, all."""
    kinds = list(kinds)
    return found.filter(kind__in=kinds) if kinds else found


def any_of(conditions: Iterable[Q]) -> Q:
    """One of them holds; of none, none does."""
    return reduce(or_, conditions, Q(pk__in=[]))


def find(text: str, kinds: Iterable[str] = (), limit: int = 20) -> list[SearchEntry]:
    """The best few entries that hold every word; where there are none, those spelled nearly so. Queries: at most 2."""
    kinds = list(kinds)
    return find_exactly(text, kinds, limit) or find_nearly(text, kinds, limit)


def find_exactly(text: str, kinds: Iterable[str] = (), limit: int = 20) -> list[SearchEntry]:
    """The best few entries: first what has the text for its number or case code, then those whose title, number or
    case code begins with the first word of the text. Queries: 1.
    """
    asked = as_indexed(folded(digits_of(text)[:200]))
    keys = number_keys(asked)
    numbered = Q(kind__in=NUMBERED)
    first = next(iter(asked.split()), "")
    called = numbered & any_of(Q(words__contains=f"{key} ") for key in keys)
    begins = Q(hint__istartswith=first) | any_of(Q(words__contains=key) for key in keys)
    begins = Q(title__istartswith=first) | numbered & begins
    rank = models.Case(models.When(called, then=0), models.When(begins, then=1), default=2)
    return list(exactly(text, kinds).order_by(rank, "title", "pk")[:limit])


def exactly(text: str, kinds: Iterable[str] = ()) -> QuerySet[SearchEntry]:
    """Entries that hold every word, or that have the text for their number or case code. Bar codes, numbers and case
    codes may be typed with gaps or hyphens or without, numbers without their leading zeros too.
    """
    text = digits_of(text)
    found = entries(text, kinds)
    if keys := number_keys(as_indexed(folded(text[:200]))):
        found |= of_kinds(with_pieces([[f"{key} " for key in keys]]), kinds)
    return found


def digits_of(text: str) -> str:
    """A bar code as it is indexed, 14 digits; any other text as it is."""
    try:
        return parse_gtin(text)
    except ValueError:
        return text


def find_nearly(text: str, kinds: Iterable[str] = (), limit: int = 20) -> list[SearchEntry]:
    """Entries that hold every word, or one that is a slip or two of the hand away from it: the fewest slips first, then
    those whose own title it is.

    The index is asked for pieces of the words; of what has them a bounded number is compared. Queries: 1 at most.
    """
    words = [word for word in words_of(text) if len(word) > 1]
    doubtful = [word for word in words if slips_allowed(word)]
    if not doubtful:
        return []
    long = [pieces(word) for word in doubtful if len(word) >= LONG_ENOUGH]
    found = of_kinds(with_pieces(long or [[piece for word in doubtful for piece in pieces(word)]]), kinds)
    near = [(slips_in(words, entry.words.split()), entry) for entry in found[:COMPARED]]
    kept = [(slipped, is_beside(words, entry), entry) for slipped, entry in near if slipped is not None]
    ranked = sorted(kept, key=lambda each: (each[0], each[1], each[2].title, each[2].pk))
    return [entry for *_, entry in ranked[:limit]]


def packs_near(text: str, limit: int = 20) -> list[SearchEntry]:
    """Packs whose bar code is one slip away from digits that are no bar code. Queries: 1 at most."""
    try:
        meant = gtins_near(text)
    except ValueError:
        return []
    packs = Pack.objects.current().filter(gtin__in=meant).values("public_id")
    return list(SearchEntry.objects.filter(public_id__in=packs).order_by("title", "pk")[:limit])


def is_beside(words: list[str], entry: SearchEntry) -> bool:
    """The words are not in the entry's own title but beside it, as a casting's name is beside its variants."""
    return slips_in(words, folded(entry.title).split()) is None


def with_pieces(asked: list[list[str]]) -> QuerySet[SearchEntry]:
    """Entries that hold one or more of the pieces in each list."""
    if connection.vendor == "sqlite":
        quoted = " AND ".join("(" + " OR ".join(f'"{piece}"' for piece in parts) + ")" for parts in asked)
        rows = RawSQL("SELECT rowid FROM registry_searchwords WHERE registry_searchwords MATCH %s", (quoted,))
        return SearchEntry.objects.filter(pk__in=rows)
    found = SearchEntry.objects.all()
    for parts in asked:
        found = found.filter(any_of(Q(words__contains=piece) for piece in parts))
    return found


def slips_in(words: list[str], written: list[str]) -> int | None:
    """Slips over all words, each compared with the word nearest to it; None where one is near to none."""
    total = 0
    for word in words:
        if any(word in each if len(word) >= SHORTEST else each.startswith(word) for each in written):
            continue
        fewest = min((n for each in written if (n := slips(word, each)) is not None), default=None)
        if fewest is None:
            return None
        total += fewest
    return total


def matching(rows: QuerySet[M], kind: SearchKind | str, text: str) -> QuerySet[M]:
    """Only those rows of a queryset that a search for the text finds as it is typed."""
    return rows.filter(public_id__in=exactly(text, [kind]).values("public_id"))
