"""Where a place is on a vehicle: one small side view, front to the left, and the shape to fill for each place.

Drawn by hand on a ground of 72 by 36; the two sides share a shape, so a label always stands beside it.
"""

from __future__ import annotations

from registry.models import Place

BODY = "M4 27V19q0-2 2-2l10-2 8-9h42q2 0 2 2v19h-8a6 6 0 0 0-12 0H24a6 6 0 0 0-12 0z"
FRONT_WHEEL = "M12.5 28a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0z"
REAR_WHEEL = "M48.5 28a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0z"
HUBS = "M15 28a3 3 0 1 0 6 0a3 3 0 1 0-6 0zM51 28a3 3 0 1 0 6 0a3 3 0 1 0-6 0z"
SIDE = "M20 17.5h42v5H20z"

SHAPES = {
    Place.BODY: BODY,
    Place.FRONT: "M4 27v-8q0-2 2-2l4-.8V27z",
    Place.REAR: "M62 6h4q2 0 2 2v19h-6z",
    Place.LEFT_SIDE: SIDE,
    Place.RIGHT_SIDE: SIDE,
    Place.ROOF: "M24 5.5h43v3.5H21z",
    Place.BONNET: "M4 19q0-2 2-2l10-2.5V19l-12 2z",
    Place.TAILGATE: "M64.5 10H68v16h-3.5z",
    Place.CARGO: "M39 7.5h28V16H39z",
    Place.WINDOW: "M21.5 15.5l6.5-7.5h9v7.5z",
    Place.WINDSCREEN: "M15.5 15.5L24 6l2.5 1.8-7 7.7z",
    Place.INTERIOR: "M26 15.5V11h3v3h4v1.5z",
    Place.BASE: "M4 25.5h8v3H4zM24 25.5h24v3H24zM60 25.5h8v3h-8z",
    Place.FRONT_WHEEL: FRONT_WHEEL,
    Place.REAR_WHEEL: REAR_WHEEL,
    Place.TYRE: FRONT_WHEEL + REAR_WHEEL + HUBS,
    Place.AXLE: "M16 26.8h40v2.4H16z",
    Place.RIVET: "M28 27a2 2 0 1 0 4 0a2 2 0 1 0-4 0zM40 27a2 2 0 1 0 4 0a2 2 0 1 0-4 0z",
    Place.WHOLE: BODY + FRONT_WHEEL + REAR_WHEEL,
}
