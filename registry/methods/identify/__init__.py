"""Which variant is it? Bayes' rule over what was seen, with an explicit answer for "none of those listed".

Read on in `table` (what is known of the variants), `observations` (what was seen), `expectations` (what each
variant leads one to see), `ranking` (the answer), `next_check` (what to look at next, and when to stop) and
`wording` (the sentences). A twin of this package in JavaScript answers the same without a network, so all of
it is sums, logarithms and exponentials; the two are compared over one set of test vectors.
"""

from .expectations import Expectations, default_confusion, learnt_confusion
from .next_check import Advice, Check
from .observations import Measured, NotSure, NotVisible, Observation, Seen, SeenOther, Weighed
from .ranking import Candidate, Ground, Identification, identify
from .table import EVERYTHING, Need, Table, Trait

__all__ = [
    "EVERYTHING",
    "Advice",
    "Candidate",
    "Check",
    "Expectations",
    "Ground",
    "Identification",
    "Measured",
    "Need",
    "NotSure",
    "NotVisible",
    "Observation",
    "Seen",
    "SeenOther",
    "Table",
    "Trait",
    "Weighed",
    "default_confusion",
    "identify",
    "learnt_confusion",
]
