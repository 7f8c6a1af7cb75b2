"""In what order the variants of a release were made and shipped, from statements that may contradict each other.

Read on in `statements` (what may be said), `moments` and `network` (the constraints), `conflicts` and `robust`
(what cannot all hold, and what to leave out), `orders` (what follows) and `answer` (all of it together).
"""

from .answer import Dated, ReleaseOrder, Span, put_in_order, with_one_more
from .conflicts import Conflict
from .orders import COUNTABLE, count_orders, reduction
from .robust import Dropped
from .statements import Dates, Kind, Statement, Window, distinct

__all__ = [
    "COUNTABLE",
    "Conflict",
    "Dated",
    "Dates",
    "Dropped",
    "Kind",
    "ReleaseOrder",
    "Span",
    "Statement",
    "Window",
    "count_orders",
    "distinct",
    "put_in_order",
    "reduction",
    "with_one_more",
]
