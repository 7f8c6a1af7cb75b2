"""Where things stand in the drawings: coordinates and text, from which a page makes SVG. No mark-up here.

Units: pixels from the top left corner; a drawing fits the width asked for, which is that of a phone unless told.
Read on in `order` (a release order, layer under layer), `layers` (which layer and which place in it), `intervals`
(shares on a common scale), `timeline` (first seen) and `text` (how much text fits).
"""

from .intervals import IntervalChart, IntervalRow, draw_intervals
from .order import Box, Join, OrderDrawing, draw_order
from .text import LINE, PHONE, Tick, wrapped
from .timeline import Timeline, TimelineRow, draw_first_seen

__all__ = [
    "LINE",
    "PHONE",
    "Box",
    "IntervalChart",
    "IntervalRow",
    "Join",
    "OrderDrawing",
    "Tick",
    "Timeline",
    "TimelineRow",
    "draw_first_seen",
    "draw_intervals",
    "draw_order",
    "wrapped",
]
