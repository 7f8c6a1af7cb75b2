"""Find a 24-patch chart or a grey card in a picture. What is found is offered; its corners can be moved by hand."""

from __future__ import annotations

from collections import deque
from typing import Any

import numpy as np

from .calibrate import misfit
from .chart import COLUMNS, ROWS, read_card, read_chart
from .spaces import Floats

_LONGEST = 1600  # pixels; larger pictures are searched at this size
_LEAST_PATCHES = 10  # of 24 seen as quadrilaterals
_BELIEVED = 12.0  # CIEDE2000; a lattice of anything else fits the colours far worse
_MARGIN = 0.045
MOST_CONTOURS = 400  # looked at in each outline of the picture, the largest: a page of print has fewer
_MOST_TRACED = 20_000  # contours in one outline; more are grain, in which no patch is to be seen
MOST_QUADS = 400
"""Considered in one picture, the largest. Photographs of models beside a chart hold about 300 at most."""

Corners = list[tuple[float, float]]


def find_chart(picture: Floats) -> Corners | None:
    """Outer corners of a 24-patch chart, clockwise from the brown patch; None where none is seen whole.

    Shapes: `picture` (height, width, 3), sRGB 0 to 1. Units: pixels of that picture.
    """
    small, scale = _searched(picture)
    quads = _quads(small, least=3e-5, most=0.02)
    light = small / 255.0
    best: tuple[float, Corners] | None = None
    for lattice in _lattices(quads):
        for corners in _placements(lattice):
            worth = _believed(light, corners)
            if worth is not None and (best is None or worth < best[0]):
                best = worth, corners
    return [(x / scale, y / scale) for x, y in best[1]] if best else None


def find_card(picture: Floats) -> Corners | None:
    """Corners of the evenest, least coloured, middling grey quadrilateral; None where there is none.

    A grey card has nothing to prove itself by, so that what is found is only a proposal: somebody has to look.
    """
    small, scale = _searched(picture)
    quads = _quads(small, least=2e-3, most=0.2)
    light = small / 255.0
    judged = [
        (unlike, n) for n, quad in enumerate(quads) if (unlike := _unlike_a_card(light, quad)) is not None
    ]
    if not judged:
        return None
    return [(float(x) / scale, float(y) / scale) for x, y in quads[min(judged)[1]]]


def _searched(picture: Floats) -> tuple[Any, float]:
    import cv2

    scale = min(1.0, _LONGEST / max(picture.shape[:2]))
    eight_bits: Any = (np.clip(picture, 0, 1) * 255).astype(np.uint8)
    if scale < 1:
        eight_bits = cv2.resize(eight_bits, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return eight_bits, scale


def _quads(picture: Any, least: float, most: float) -> list[Floats]:
    """Convex quadrilaterals between two shares of the picture's area, each once, corners clockwise."""
    import cv2

    whole = picture.shape[0] * picture.shape[1]
    seen: list[tuple[float, Floats]] = []
    for edges in _outlines(picture):
        for area, contour in _largest(edges, least * whole, most * whole):
            corners = cv2.approxPolyDP(contour, 0.06 * cv2.arcLength(contour, True), True)
            if len(corners) != 4 or not cv2.isContourConvex(corners):
                continue
            quad = corners[:, 0].astype(float)
            if area >= 0.8 * abs(_area(quad)):
                seen.append((area, quad))
    found = _each_once(seen)
    largest = sorted(range(len(found)), key=lambda n: -found[n][0])[:MOST_QUADS]
    return [_clockwise(found[n][1]) for n in sorted(largest)]


def _largest(edges: Any, least: float, most: float) -> list[tuple[float, Any]]:
    """The contours between two areas, each with its own: never more than so many, whatever the picture shows."""
    import cv2

    if _traced(edges) > _MOST_TRACED:
        edges = cv2.medianBlur(edges, 5)
        if _traced(edges) > _MOST_TRACED:
            return []
    contours, _ = cv2.findContours(edges, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    areas = np.array([cv2.contourArea(contour) for contour in contours])
    fitting = np.flatnonzero((least <= areas) & (areas <= most))
    if len(fitting) > MOST_CONTOURS:
        fitting = np.sort(fitting[np.argsort(-areas[fitting], kind="stable")[:MOST_CONTOURS]])
    return [(float(areas[n]), contours[n]) for n in fitting]


def _traced(edges: Any) -> int:
    """How many contours there are: one round each area and each hole. Counting is much cheaper than tracing."""
    import cv2

    areas, _ = cv2.connectedComponents(edges, connectivity=8)
    holes, _ = cv2.connectedComponents(255 - edges, connectivity=4)
    return int(areas + holes)


def _each_once(seen: list[tuple[float, Floats]]) -> list[tuple[float, Floats]]:
    """Of those about one centre the first."""
    centres = np.empty((len(seen), 2))
    found: list[tuple[float, Floats]] = []
    for area, quad in seen:
        centre = quad.mean(axis=0)
        if (((centres[: len(found)] - centre) ** 2).sum(axis=1) > 0.09 * area).all():
            centres[len(found)] = centre
            found.append((area, quad))
    return found


def _outlines(picture: Any) -> list[Any]:
    """Where even areas end: by brightness in small neighbourhoods, and by each channel's edges."""
    import cv2

    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    outlines = []
    for block in (11, 25, 51):
        above = cv2.adaptiveThreshold(grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY, block, 2)
        outlines += [above, 255 - above]
    for channel in (*cv2.split(picture), grey):
        edges = cv2.Canny(channel, 20, 60)
        outlines.append(255 - cv2.dilate(edges, np.ones((3, 3), np.uint8)))
    return outlines


def _clockwise(quad: Floats) -> Floats:
    """Clockwise as one sees it (y grows downwards), from the corner nearest the top left."""
    ordered = quad if _area(quad) > 0 else quad[::-1]
    return np.roll(ordered, -int(ordered.sum(axis=1).argmin()), axis=0)


def _area(quad: Floats) -> float:
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = quad
    return float((cx - ax) * (dy - by) - (dx - bx) * (cy - ay)) / 2


def _lattices(quads: list[Floats]) -> list[dict[tuple[int, int], Floats]]:
    """Sets of quadrilaterals that lie in rows and columns: centre by column and row, the largest sets first."""
    centres = np.array([quad.mean(axis=0) for quad in quads])
    neighbours = _neighbours(quads, centres)
    left = set(range(len(quads)))
    found = []
    while left:
        lattice = _grown(neighbours, left.pop())
        left -= set(lattice.values())
        if len(lattice) >= _LEAST_PATCHES:
            found.append({place: centres[n] for place, n in lattice.items()})
    return sorted(found, key=len, reverse=True)[:3]


def _neighbours(quads: list[Floats], centres: Floats) -> list[list[int | None]]:
    """Of each, the like one to the right, left, below and above: about one and a bit sides away."""
    sizes = np.sqrt([abs(_area(quad)) for quad in quads])
    found: list[list[int | None]] = []
    for n, quad in enumerate(quads):
        along = (quad[1] - quad[0] + quad[2] - quad[3]) / 2
        down = (quad[3] - quad[0] + quad[2] - quad[1]) / 2
        steps = np.array([along, -along, down, -down])
        distances = ((centres - (centres[n] + 1.15 * steps)[:, None]) ** 2).sum(axis=2)
        nearest = distances.argmin(axis=1)
        alike = np.abs(np.log2(sizes[nearest] / sizes[n])) < 1
        close = distances.min(axis=1) < 0.1225 * (steps**2).sum(axis=1)
        found.append([int(near) if fits else None for near, fits in zip(nearest, alike & close, strict=True)])
    return found


def _grown(neighbours: list[list[int | None]], seed: int) -> dict[tuple[int, int], int]:
    """Neighbour by neighbour."""
    lattice, waiting = {(0, 0): seed}, deque([(0, 0)])
    taken = {seed}
    while waiting:
        column, row = waiting.popleft()
        places = ((column + 1, row), (column - 1, row), (column, row + 1), (column, row - 1))
        for near, place in zip(neighbours[lattice[column, row]], places, strict=True):
            if near is not None and near not in taken and place not in lattice:
                lattice[place] = near
                taken.add(near)
                waiting.append(place)
    return lattice


def _placements(lattice: dict[tuple[int, int], Floats]) -> list[Corners]:
    """Every way in which a chart of 6 by 4, in any of four turns, may lie on the lattice."""
    import cv2

    places = np.array(list(lattice), float)
    frame, _ = cv2.findHomography(places, np.array(list(lattice.values())), cv2.RANSAC, 4.0)
    if frame is None:
        return []
    placements = []
    low, high = places.min(axis=0).astype(int), places.max(axis=0).astype(int)
    for wide, tall, turns in ((COLUMNS, ROWS, (0, 2)), (ROWS, COLUMNS, (1, 3))):
        for left in range(high[0] - wide + 1, low[0] + 1):
            for top in range(high[1] - tall + 1, low[1] + 1):
                margin = _MARGIN * COLUMNS / (1 - 2 * _MARGIN)
                x0, y0, x1, y1 = (
                    left - 0.5 - margin,
                    top - 0.5 - margin,
                    left + wide - 0.5 + margin,
                    top + tall - 0.5 + margin,
                )
                box = np.array([[x0, y0, 1], [x1, y0, 1], [x1, y1, 1], [x0, y1, 1]]) @ frame.T
                quad = box[:, :2] / box[:, 2:]
                placements += [
                    [(float(x), float(y)) for x, y in np.roll(quad, -turn, axis=0)] for turn in turns
                ]
    return placements


def _believed(small: Floats, corners: Corners) -> float | None:
    """How badly the patches fit their colours, in CIEDE2000; None where it cannot be a chart."""
    try:
        error = misfit(read_chart(small, corners))
    except ValueError:
        return None
    return error if error <= _BELIEVED else None


def _unlike_a_card(picture: Floats, quad: Floats) -> float | None:
    """How uneven and coloured the area is; None where it is no card: not even, of a hue, too light or too dark."""
    try:
        reading = read_card(picture, [(float(x), float(y)) for x, y in quad])
    except ValueError:
        return None
    light = reading.light[0]
    uneven, tinged = float(reading.spread[0] / light.mean()), float(np.ptp(light) / light.mean())
    if uneven >= 0.12 or tinged >= 0.3 or not 0.04 < light.mean() < 0.5:
        return None
    return uneven + tinged / 2
