"""Text, dates, places and keys as people send them, made safe to keep or refused with the remedy."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any, TypeVar

from django.db.models import TextChoices

from registry.errors import InTheFuture, InvalidField
from registry.sentences import Sentence

KEY = re.compile(r"[a-z][a-z0-9_]{0,39}")
KINDS: dict[str, Sentence] = {
    "maker": Sentence("maker"),
    "line": Sentence("line"),
    "casting": Sentence("casting"),
    "release": Sentence("release"),
    "pack": Sentence("pack"),
    "trait": Sentence("detail"),
    "state": Sentence("state"),
    "example": Sentence("example"),
    "photo": Sentence("photo"),
}
"""What people read for a kind of record, by the name of its model."""
C = TypeVar("C", bound=TextChoices)

STREETLIKE = re.compile(
    r"\d+\s*[a-z]?\s*,|\d{3,}|\b(street|road|avenue|lane|straat|weg|strasse|straße|rue|via|calle)\b",
    re.IGNORECASE,
)


class Opening(Sentence):
    """A fault told as a sentence of its own: its first letter is a large one."""

    def __new__(cls, message: str, /, _many: str = "", **given: Any) -> Opening:
        small = Sentence(message, _many, **given)
        sentence = str.__new__(cls, small.capitalize())
        sentence.one, sentence.many, sentence.given = small.one, small.many, small.given
        return sentence

    def said(self) -> str:
        words = super().said()
        return words[:1].upper() + words[1:]


def line(field: str, value: object, most: int, required: bool = True) -> str:
    """One line of plain text in NFC, outer space dropped, inner runs of space made one.

    Errors: InvalidField when it is not text, is empty though required, is longer than `most`, or holds a control,
    a direction mark or half a surrogate pair.
    """
    if value is None and not required:
        return ""
    if not isinstance(value, str):
        raise InvalidField(field, value, Sentence("Send text."))
    if len(value) > 20 * most:
        raise InvalidField(field, value[:60], Sentence("Use at most %(most)s characters.", most=most))
    refuse_controls(field, value, ("Cc", "Cf", "Cs", "Co", "Cn"))
    plain = " ".join(unicodedata.normalize("NFC", value).split())
    if not plain and required:
        raise InvalidField(field, value, Sentence("It cannot be empty."))
    if len(plain) > most:
        raise InvalidField(
            field,
            plain,
            Sentence("Use at most %(most)s characters; this has %(length)s.", most=most, length=len(plain)),
        )
    return plain


def refuse_controls(field: str, value: str, categories: Iterable[str] = ("Cc", "Cs")) -> None:
    """Errors: InvalidField naming the first symbol of these Unicode categories; tab and line breaks pass."""
    for at, symbol in enumerate(value):
        if symbol not in "\t\n\r" and unicodedata.category(symbol) in categories:
            raise InvalidField(
                field,
                value,
                Sentence(
                    "Remove the invisible or control character U+%(symbol)s at place %(place)s.",
                    symbol=f"{ord(symbol):04X}",
                    place=at + 1,
                ),
            )


def lines(field: str, values: object, most: int, at_most: int = 12) -> list[str]:
    """A short list of lines, sorted and without repeats: nicknames."""
    if values in (None, ""):
        return []
    if not isinstance(values, (list, tuple)):
        raise InvalidField(field, values, Sentence("Send a list of names."))
    if len(values) > at_most:
        raise InvalidField(field, len(values), Sentence("Send at most %(most)s names.", most=at_most))
    return sorted({line(field, value, most) for value in values})


def key(field: str, value: object) -> str:
    """An immutable key: small letters, digits and underscores, a letter first, at most 40."""
    if not isinstance(value, str) or not KEY.fullmatch(value):
        raise InvalidField(
            field,
            value,
            Sentence("Use a small letter, then small letters, digits or underscores, 40 at most."),
        )
    return value


def key_from(name: str, taken: Iterable[str]) -> str:
    """A fresh key made from a name, with a number where the plain one is taken."""
    folded = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "_", folded).strip("_")[:36] or "x"
    stem = stem if stem[0].isalpha() else f"x_{stem}"[:36]
    known = set(taken)
    return next(k for k in (stem, *(f"{stem}_{n}" for n in range(2, 999))) if k not in known)


def choice(field: str, value: object, choices: type[C]) -> C:
    try:
        return choices(value)  # type: ignore[call-overload]
    except ValueError:
        raise InvalidField(
            field, value, Sentence("Choose one of: %(ones)s.", ones=", ".join(choices.values))
        ) from None


def several(field: str, values: object, choices: type[C]) -> list[str]:
    if not isinstance(values, Sequence) or isinstance(values, str):
        raise InvalidField(field, values, Sentence("Send a list."))
    return sorted({choice(field, value, choices).value for value in values})


def whole(field: str, value: object, least: int, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise InvalidField(
            field, value, Sentence("Send a whole number from %(least)s to %(most)s.", least=least, most=most)
        )
    return value


def whole_if_given(field: str, value: object, least: int, most: int) -> int | None:
    return None if value is None else whole(field, value, least, most)


def truth(field: str, value: object) -> bool:
    """Errors: InvalidField for anything but true and false: a text that says false must not pass as true."""
    if not isinstance(value, bool):
        raise InvalidField(field, value, Sentence("Send true or false."))
    return value


def past_day(field: str, value: date | None, at: datetime) -> date | None:
    """A day that has come. In the world's first time zones the next day begins at 10:00 UTC."""
    if value is None:
        return None
    if not isinstance(value, date):
        raise InvalidField(field, value, Sentence("Send a date as YYYY-MM-DD."))
    if value.toordinal() > at.date().toordinal() + (1 if at.hour >= 10 else 0):
        raise InTheFuture(field, value.isoformat(), Sentence("Give a day that has already come."))
    if value.year < 1900:
        raise InvalidField(field, value.isoformat(), Sentence("Give a year from 1900 on."))
    return value


def past_month(field: str, value: object, at: datetime) -> date | None:
    """The first day of a month given as YYYY-MM, or as a date in it."""
    if value in (None, ""):
        return None
    if isinstance(value, str):
        try:
            value = date.fromisoformat(f"{value[:7]}-01")
        except ValueError:
            raise InvalidField(field, value, Sentence("Send a month as YYYY-MM.")) from None
    if not isinstance(value, date):
        raise InvalidField(field, value, Sentence("Send a month as YYYY-MM."))
    return past_day(field, value.replace(day=1), at)


def coarse_place(country: object, region: object) -> tuple[str, str]:
    """A country code and a wide region, never finer.

    Errors: InvalidField asking to coarsen a region that reads like an address or a postcode.
    """
    code = line("country", country, 2, required=False).upper()
    if code and not re.fullmatch(r"[A-Z]{2}", code):
        raise InvalidField("country", country, Sentence("Use the two-letter country code, such as NL."))
    wide = line("region", region, 60, required=False)
    if STREETLIKE.search(wide):
        raise InvalidField(
            "region", wide, Sentence("That reads like an address. Give only a country and a wide region.")
        )
    return code, wide
