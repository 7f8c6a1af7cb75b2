"""Sentences for people, written where the matter is known and translated where they are shown.

Below `web` nobody knows in which language the reader reads: a refusal may be told to a program, a standing is
decided in one voter's request and read by others. So what is said there is a `Sentence`: a plain English `str`
to everybody who does not ask (the API, the journal, a log), that knows its parts. On a page it reads in the
reader's language, by itself wherever a template prints it and by `said` elsewhere. Parts that people typed,
such as the name of a detail, stay as they were typed.

`Sentence` and `counted` mark what is to be translated, as `gettext` does in Django's own layers.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable
from functools import reduce
from typing import Any


def _english(one: str, many: str, n: int) -> str:
    return one if n == 1 else many


class Sentence(str):
    """English, with %(name)s where a part stands; without parts a percent sign is only itself.

    >>> gull = Sentence("%(trait)s as %(state)s", trait="roof crest", state="gull")
    >>> more = counted("one more vote on %(about)s", "%(n)d more votes on %(about)s", 2, about=gull)
    >>> more
    '2 more votes on roof crest as gull'
    >>> Sentence.of(more.parts()) == more
    True
    """

    translator: Callable[[str, str, int], str] = staticmethod(_english)
    """From (one, many, n) to the words in the reader's language; set by the app when Django is there to ask."""

    one: str
    many: str
    given: dict[str, Any]

    def __new__(cls, message: str, many: str = "", /, **given: Any) -> Sentence:
        words = _english(message, many or message, given.get("n", 1))
        sentence = super().__new__(cls, words % given if given else words)
        sentence.one, sentence.many, sentence.given = message, many, given
        return sentence

    def filled(self, **given: Any) -> Sentence:
        """The same with these parts."""
        return Sentence(self.one, self.many, **self.given | given)

    def __getnewargs_ex__(self) -> tuple[tuple[str, str], dict[str, Any]]:
        return (self.one, self.many), self.given

    def said(self) -> str:
        """In the reader's language, and so each sentence that is part of it."""
        words = self.translator(self.one, self.many or self.one, self.given.get("n", 1))
        return words % {name: said(part) for name, part in self.given.items()} if self.given else words

    def __html__(self) -> str:
        """What a template prints."""
        return html.escape(self.said())

    def parts(self) -> list[Any]:
        """For keeping as JSON; `of` makes it whole again."""
        given = {
            name: part.parts() if isinstance(part, Sentence) else part for name, part in self.given.items()
        }
        return [self.one, self.many, given]

    @classmethod
    def of(cls, kept: Any) -> str:
        """The sentence kept by `parts`. Anything else is a part that somebody typed: as it is."""
        if not isinstance(kept, list):
            return kept
        one, many, given = kept
        return cls(one, many, **{name: cls.of(part) for name, part in given.items()})


def counted(one: str, many: str, n: int, /, **given: Any) -> Sentence:
    """A sentence on how many: `one` for a single one, else `many`. Both may hold %(n)s."""
    return Sentence(one, many, n=n, **given)


AND = Sentence("%(first)s and %(second)s")
OR = Sentence("%(first)s or %(second)s")
COMMA = "%(first)s, %(second)s"
SEMICOLON = "%(first)s; %(second)s"
BLANK = "%(first)s %(second)s"


def joined(parts: Iterable[str], between: str = BLANK) -> str:
    """All of them with the same between each two, each in the reader's language; nothing for none.

    >>> joined(["gold", "silver", "black"], OR)
    'gold or silver or black'
    """
    return reduce(lambda first, second: Sentence(between, first=first, second=second), list(parts) or [""])


def listed(parts: Iterable[str]) -> str:
    """One after the other, the last after an "and"; nothing for none.

    >>> listed(["gold", "silver", "black"])
    'gold, silver and black'
    """
    *some, last = list(parts) or [""]
    return Sentence("%(some)s and %(last)s", some=joined(some, COMMA), last=last) if some else last


# xgettext:no-python-format
INSIDE = Sentence("%(small)s")


def inside(name: str) -> Sentence:
    """A detail's name inside a sentence. In a language whose nouns begin large it stays as it was typed.

    >>> inside("Front wheels"), inside("GTIN on the card")
    ('front wheels', 'GTIN on the card')
    """
    small = name if name[1:2].isupper() else name[:1].lower() + name[1:]
    return INSIDE.filled(small=small, typed=name)


def in_thousands(n: int) -> str:
    """A number as people read it.

    >>> in_thousands(1_234_567)
    '1,234,567'
    """
    if n < 1000:
        return str(n)
    return Sentence("%(thousands)s,%(rest)s", thousands=in_thousands(n // 1000), rest=f"{n % 1000:03}")


def said(thing: Any) -> Any:
    """In the reader's language if it is a sentence, or a refusal that carries one; anything else as it is."""
    if isinstance(thing, Exception):
        return said(thing.args[0]) if thing.args else ""
    return thing.said() if isinstance(thing, Sentence) else thing
