"""A report's own code, to be written on paper and photographed beside the item: it was at hand when asked for.

It says nothing of whose the item is, nor that the picture is honest. 19 symbols that are told apart in handwriting,
without vowels, so that no word comes out; 47 million codes of six, which nobody guesses in 14 days. Chosen here.
"""

import re
import secrets
from datetime import datetime, timedelta

from registry.sentences import Sentence

ALPHABET = "3467CDFHJKMNPRTVWXY"
LENGTH = 6
GOOD_FOR = timedelta(days=14)


def mint_code() -> str:
    """A new random code."""
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def show_code(code: str) -> str:
    """As people write it.

    >>> show_code("K7DXW4")
    'K7D-XW4'
    """
    return f"{code[:3]}-{code[3:]}"


def parse_code(text: str) -> str:
    """The code behind what somebody typed: case, spaces and hyphens do not matter.

    Errors: ValueError naming the fault and the remedy.

    >>> parse_code(" k7d xw4")
    'K7DXW4'
    """
    code = re.sub(r"[\s\-\u2010-\u2015]+", "", text[:40]).upper()
    if len(code) != LENGTH or any(symbol not in ALPHABET for symbol in code):
        remedy = Sentence(
            "A code has %(length)s of the symbols %(symbols)s. Type it as it stands on the paper.",
            length=LENGTH,
            symbols=ALPHABET,
        )
        raise ValueError(remedy)
    return code


def was_good(issued_at: datetime, sent_at: datetime) -> bool:
    """Whether a picture that came in then could carry a code given out at that time: for 14 days, not before."""
    return timedelta(0) <= sent_at - issued_at <= GOOD_FOR
