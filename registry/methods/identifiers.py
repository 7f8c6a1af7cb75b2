"""Public ids with a check symbol, and the trade numbers printed under bar codes.

A public id is twelve symbols: eleven random ones and a check symbol. The check symbol is the sum of (1-based
position x symbol index) modulo 31 over the first eleven. 31 is prime and larger than every position, so each
single wrong symbol and each swap of two symbols is caught.

Trade numbers follow the GS1 General Specifications: from the right, without the check digit, the weights are
3, 1, 3, 1 ...; the check digit brings the sum to a multiple of ten.
"""

import re
import secrets

from registry.sentences import COMMA, Sentence, joined

ALPHABET = "0123456789bcdfghjklmnpqrstvwxyz"
ID_LENGTH = 12
BODY_LENGTH = ID_LENGTH - 1

_CANONICAL_ID = re.compile(rf"[{ALPHABET}]{{{ID_LENGTH}}}")
_IGNORED = re.compile(r"[\s\-\u00ad\u2010-\u2015\u2212]+")
_LONGEST_INPUT = 100
_GTIN_LENGTHS = (8, 12, 13, 14)
_HOW_TO_TYPE_AN_ID = Sentence(
    "Type its %(length)s letters and digits as shown, like 4k7d-9xwp-m2cx.", length=ID_LENGTH
)


def check_symbol(body: str) -> str:
    """The twelfth symbol of an id, from its first eleven.

    Errors: ValueError where the body is not eleven symbols of the alphabet.

    >>> check_symbol("4k7d9xwpm2c")
    'x'
    """
    if len(body) != BODY_LENGTH or any(symbol not in ALPHABET for symbol in body):
        raise ValueError(f"the first part of an id is {BODY_LENGTH} symbols of {ALPHABET}, got {body!r}")
    total = sum(position * ALPHABET.index(symbol) for position, symbol in enumerate(body, start=1))
    return ALPHABET[total % len(ALPHABET)]


def mint() -> str:
    """A new random id. Of 31^11 bodies, a hundred million in use make one mint in 2.5e8 collide."""
    body = "".join(secrets.choice(ALPHABET) for _ in range(BODY_LENGTH))
    return body + check_symbol(body)


def is_id(text: str) -> bool:
    """Whether the text is an id in its one canonical spelling: lower case, no spaces, no hyphens."""
    return bool(_CANONICAL_ID.fullmatch(text)) and check_symbol(text[:-1]) == text[-1]


def parse_id(text: str) -> str:
    """The canonical id behind what somebody typed: case, spaces and hyphens do not matter.

    Errors: ValueError naming the fault and the remedy.

    >>> parse_id(" 4K7D-9xwp m2cx")
    '4k7d9xwpm2cx'
    """
    if len(text) > _LONGEST_INPUT:
        raise ValueError(
            Sentence(
                "That is %(length)s characters, far too long for one id. Type one id only.", length=len(text)
            )
        )
    symbols = _IGNORED.sub("", text).lower()
    strange = sorted({symbol for symbol in symbols if symbol not in ALPHABET})
    if strange:
        raise ValueError(
            Sentence(
                "An id has no %(strange)s: it is made of digits and consonants only. %(remedy)s",
                strange=_quoted(strange),
                remedy=_HOW_TO_TYPE_AN_ID,
            )
        )
    if len(symbols) != ID_LENGTH:
        raise ValueError(
            Sentence(
                "An id has %(length)s symbols, this one has %(given)s. %(remedy)s",
                length=ID_LENGTH,
                given=len(symbols),
                remedy=_HOW_TO_TYPE_AN_ID,
            )
        )
    if check_symbol(symbols[:-1]) != symbols[-1]:
        raise ValueError(
            Sentence(
                "The id %(id)s does not add up: a symbol is mistyped or two are swapped. "
                "Compare it with where you read it and type it again.",
                id=show_id(symbols),
            )
        )
    return symbols


def show_id(public_id: str) -> str:
    """The id in groups of four, for people to read aloud.

    >>> show_id("4k7d9xwpm2cx")
    '4k7d-9xwp-m2cx'
    """
    return "-".join(public_id[start : start + 4] for start in range(0, len(public_id), 4))


def gtin_check_digit(digits: str) -> str:
    """The check digit that belongs after these digits; the same for every length of GTIN.

    Source: GS1 General Specifications, section on check digit calculation.
    Errors: ValueError where there is anything but the digits 0 to 9.

    >>> gtin_check_digit("629104150021")
    '3'
    """
    if not digits or any(digit not in "0123456789" for digit in digits):
        raise ValueError(f"A check digit needs the digits 0 to 9 only, got {digits!r}.")
    weighted = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return str(-weighted % 10)


def expand_upce(text: str) -> str:
    """The twelve digits of the UPC-A that a short UPC-E stands for.

    Takes all eight digits: number system 0 or 1, six digits, and the check digit of the long form.
    Source: GS1 General Specifications (zero suppression); ISO/IEC 15420.
    Errors: ValueError naming the fault, with the expected check digit.

    >>> expand_upce("04252614")
    '042100005264'
    """
    digits = _digits(text)
    if len(digits) != 8 or digits[0] not in "01":
        raise ValueError(
            Sentence("A UPC-E has eight digits and begins with 0 or 1, got %(digits)s.", digits=digits)
        )
    system, six, check = digits[0], digits[1:7], digits[7]
    if six[5] in "012":
        body = six[:2] + six[5] + "0000" + six[2:5]
    elif six[5] == "3":
        body = six[:3] + "00000" + six[3:5]
    elif six[5] == "4":
        body = six[:4] + "00000" + six[4]
    else:
        body = six[:5] + "0000" + six[5]
    expected = gtin_check_digit(system + body)
    if check != expected:
        raise ValueError(_wrong_check_digit(digits, "UPC-E", expected))
    return system + body + check


def parse_gtin(text: str) -> str:
    """The fourteen digits of a GTIN-8, GTIN-12 (UPC-A), GTIN-13 (EAN), GTIN-14 or UPC-E.

    Spaces and hyphens do not matter. Eight digits may be a GTIN-8 or, beginning with 0 or 1, a UPC-E; the
    check digit tells. Where it fits both, a leading 0 means UPC-E, since a GTIN-8 with a leading 0 is some
    shop's own number (GS1 prefix list, from memory); with a leading 1 the reader has to type the long form,
    because a guess would file a pack under another maker's number.
    Errors: ValueError with the expected check digit and the remedy.

    >>> parse_gtin("6291041500213"), parse_gtin("0425 2614")
    ('06291041500213', '00042100005264')
    """
    digits = _digits(text)
    if len(digits) not in _GTIN_LENGTHS:
        raise ValueError(
            Sentence(
                "A bar code number has 8, 12, 13 or 14 digits, %(digits)s has %(length)s. "
                "Type every digit printed under the bars, the small ones at both ends too.",
                digits=digits,
                length=len(digits),
            )
        )
    if not int(digits):
        raise ValueError(
            Sentence(
                "%(digits)s is no bar code number. Type the digits printed under the bars.", digits=digits
            )
        )
    expected = gtin_check_digit(digits[:-1])
    fits = digits[-1] == expected
    long_form = _expanded_or_none(digits)
    if fits and long_form and digits[0] == "1":
        raise ValueError(
            Sentence(
                "%(digits)s can be read as a GTIN-8 and as a UPC-E. Type %(padded)s for the GTIN-8 "
                "or %(expanded)s for the UPC-E.",
                digits=digits,
                padded=digits.zfill(14),
                expanded=long_form,
            )
        )
    if fits or long_form:
        return (long_form or digits).zfill(14)
    raise ValueError(_wrong_check_digit(digits, f"GTIN-{len(digits)}", expected))


def gtins_near(text: str) -> list[str]:
    """What may have been meant by digits that fit no check digit: all GTINs, as fourteen digits in order, that are one
    digit mistaken, left out or put in away, or two neighbours swapped.

    Errors: ValueError where there is anything but digits.

    >>> "06291041500213" in gtins_near("6291041500214"), len(gtins_near("6291041500214"))
    (True, 28)
    """
    digits = _digits(text)
    places = range(len(digits) + 1)
    meant = {digits[:n] + digits[n + 1 :] for n in places}
    meant |= {digits[:n] + one + digits[n:] for n in places for one in "0123456789"}
    meant |= {digits[:n] + one + digits[n + 1 :] for n in places for one in "0123456789"}
    meant |= {digits[:n] + digits[n : n + 2][::-1] + digits[n + 2 :] for n in places}
    lengths = [one for one in meant if len(one) in _GTIN_LENGTHS]
    return sorted({one.zfill(14) for one in lengths if one[-1] == gtin_check_digit(one[:-1])})


def _expanded_or_none(digits: str) -> str | None:
    try:
        return expand_upce(digits)
    except ValueError:
        return None


def _wrong_check_digit(digits: str, kind: str, expected: str) -> str:
    return Sentence(
        "The last digit of %(digits)s should be %(expected)s if the others are right, it is %(last)s. "
        "Compare every digit of the %(kind)s with the pack and type it again.",
        digits=digits,
        expected=expected,
        last=digits[-1],
        kind=kind,
    )


def _digits(text: str) -> str:
    if len(text) > _LONGEST_INPUT:
        raise ValueError(
            Sentence(
                "That is %(length)s characters, far too long for one bar code number. "
                "Type one bar code number only.",
                length=len(text),
            )
        )
    digits = _IGNORED.sub("", text)
    strange = sorted({symbol for symbol in digits if symbol not in "0123456789"})
    if strange:
        raise ValueError(
            Sentence(
                "A bar code number has digits only, not %(strange)s. Type the digits under the bars.",
                strange=_quoted(strange),
            )
        )
    return digits


def _quoted(symbols: list[str]) -> str:
    return joined((f"“{one}”" if one.isprintable() else f"U+{ord(one):04X}" for one in symbols[:5]), COMMA)
