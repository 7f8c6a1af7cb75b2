"""Reasons that the record gives by itself, where nobody typed one: written from here, and read back by their form.

They are kept in plain English, since a revision never changes and `/v1` and exports show what is kept. On a page
`read` gives each reader their own language.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from registry.sentences import Sentence

UNSAID = Sentence("(erased at the author's wish)")

VOTES_FOR_THE_RIVAL = Sentence("The votes confirmed the state proposed instead.")
VOTES_AGAINST_THE_RIVAL = Sentence("The votes refuted the state proposed instead.")
VOTES_FOR_THE_STATEMENT = Sentence("The votes confirmed the statement.")
VOTES_AGAINST_THE_STATEMENT = Sentence("The votes refuted the statement.")
STATEMENT_TAKEN_BACK = Sentence("The statement was taken back.")
TAKEN_BACK = Sentence("Taken back by who opened it.")
VARIANT_SPLIT = Sentence("The variant was split.")
VARIANT_STRUCK = Sentence("The variant was struck.")

FIRST_REPORTED = Sentence("First reported.")
CLAIMS_ADDED = Sentence("Claims added by a later report.")
OTHER_SIDE = Sentence("Named as the other side of a difference by %(title)s.")
CORRECTED = Sentence("Corrected %(trait)s: from %(before)s to %(after)s.")
MERGED_INTO_IT = Sentence("%(title)s (%(id)s) was merged into it.")
SPLIT_OUT = Sentence("Split out of it: %(titles)s.")
SPLIT_FROM = Sentence("Split from %(title)s (%(id)s).")
STANDS_AGAIN = Sentence("%(title)s stands for itself again.")
DETAILS_BECAME_ONE = Sentence("Two details became one: %(trait)s is %(survivor)s.")

NEWEST_FIT = Sentence("The newest fit of all votes, adopted by the command line.")

FORMS = [form for form in list(globals().values()) if isinstance(form, Sentence)]

MAKE_REVIEWER = Sentence("Make %(member)s a reviewer")
MAKE_MODERATOR = Sentence("Make %(member)s a moderator")
STRIKE = Sentence("Strike %(variant)s: %(reason)s")
MERGE = Sentence("Merge %(gone)s into %(kept)s")

DEEDS = (MAKE_REVIEWER, MAKE_MODERATOR, STRIKE, MERGE, UNSAID)


def read(kept: str, forms: Iterable[Sentence] = FORMS) -> str:
    """A kept reason as the sentence it was written as; what somebody typed, as it is. Of its parts, causes and what
    a variant is struck as are our words too.

    >>> read("Corrected crest: from anchor to gull.").given
    {'trait': 'crest', 'before': 'anchor', 'after': 'gull'}
    >>> read("It looks wider to me.")
    'It looks wider to me.'
    """
    for form in forms:
        if found := pattern(form).fullmatch(kept):
            parts = found.groupdict()
            ours = parts if parts.get("trait") == "Cause" else {"reason"} & parts.keys()
            return form.filled(**parts | {name: Sentence(parts[name]) for name in ours})
    return kept


@cache
def pattern(form: Sentence) -> re.Pattern[str]:
    """For text of this form, its parts as groups."""
    literal, *parts = re.split(r"%\((\w+)\)s", form)
    pairs = zip(parts[::2], parts[1::2], strict=True)
    groups = (f"(?P<{name}>.+){re.escape(after)}" for name, after in pairs)
    return re.compile(re.escape(literal) + "".join(groups))
