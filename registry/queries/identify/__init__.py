"""Which one do I hold: reads that serve identify, minimal checks and the pocket sheet.

Read on in `scopes` (whose variants may be meant), `reading` and `counted` (their rows), `known` (the table, with
priors), `answers` (what was seen, and the answer), `checks` (the fewest details that tell them apart) and `pictures`.
"""

from .answers import Question, answer, answers
from .checks import checks_of
from .known import Detail, Known, known_in, known_in_each
from .pictures import crop_mark, crop_marks, samples
from .scopes import KINDS, Scope

__all__ = [
    "KINDS",
    "Detail",
    "Known",
    "Question",
    "Scope",
    "answer",
    "answers",
    "checks_of",
    "crop_mark",
    "crop_marks",
    "known_in",
    "known_in_each",
    "samples",
]
