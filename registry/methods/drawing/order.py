"""A release order as boxes, layer under layer: what lies higher and is joined came earlier."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from .layers import Node, Step, arranged, chains, layer_numbers
from .text import LINE, MARGIN, PHONE, wrapped

Point = tuple[float, float]

GAP = 12.0  # between boxes of a layer
PASS = 10.0  # room for a line that passes through a layer
BETWEEN = 40.0  # from layer to layer
LANE = 9.0  # between lines of contradiction
PADDING = 8.0
WIDEST, NARROWEST = 160.0, 84.0
ABREAST = 3


@dataclass(frozen=True, slots=True)
class Box:
    """A variant. `kind` is what the caller said, such as its pack, to be told apart by more than colour."""

    id: str
    x: float
    y: float
    width: float
    height: float
    lines: tuple[str, ...]
    kind: str = ""

    @property
    def centre(self) -> float:
        return self.x + self.width / 2

    @property
    def bottom(self) -> float:
        return self.y + self.height


@dataclass(frozen=True, slots=True)
class Join:
    """A line from box to box through its points. A contradiction runs in the gaps and the right-hand margin.

    `text_at` is the middle of the text's base line.
    """

    tail: str
    head: str
    points: tuple[Point, ...]
    kind: Literal["order", "contradiction"] = "order"
    text: str = ""
    text_at: Point | None = None


@dataclass(frozen=True, slots=True)
class OrderDrawing:
    width: float
    height: float
    boxes: tuple[Box, ...]
    joins: tuple[Join, ...]


def draw_order(
    labels: Mapping[str, str],
    steps: Iterable[Step],
    contradictions: Sequence[tuple[str, str, str]] = (),
    kinds: Mapping[str, str] | None = None,
    width: float = PHONE,
) -> OrderDrawing:
    """Boxes for the labelled variants, joined by the steps of their order; contradictions are lines apart.

    Shapes: labels by id, in the order in which equals stand; steps as (earlier, later), no circle among them;
            contradictions as (said to be earlier, said to be later, short text).
    Errors: ValueError where the steps run in a circle, or a line names what is not drawn.
    """
    pairs = tuple(dict.fromkeys(steps))
    for tail, head, _ in contradictions:
        if tail not in labels or head not in labels:
            raise ValueError(f"the contradiction from {tail} to {head} names what is not drawn")
    lanes = LANE * (len(contradictions) + 1) if contradictions else 0.0
    room = width - 2 * MARGIN - lanes
    rows, lines, each = _rows(tuple(labels), pairs, room)
    between = BETWEEN + (LANE * len(contradictions) if contradictions else 0)
    boxes, passes, bottom = _placed(rows, labels, kinds or {}, room, each, between)
    joins = [Join(*pair, _course(nodes, boxes, passes)) for pair, nodes in lines.items()]
    for number, said in enumerate(contradictions, start=1):
        joins.append(_detour(said, boxes, MARGIN + room + LANE * number, LANE * number, between))
    return OrderDrawing(width, bottom + between, tuple(boxes.values()), tuple(joins))


def _rows(
    ids: Sequence[str], pairs: Sequence[Step], room: float
) -> tuple[list[list[Node]], dict[Step, list[Node]], float]:
    """Layers, lines and the width of a box: as many abreast as leaves each box wide enough to read."""
    for most in range(ABREAST, 0, -1):
        layers = layer_numbers(ids, pairs, most)
        lines = chains(pairs, layers)
        rows = arranged(ids, layers, lines)
        each = min([WIDEST, *(_box_width(row, room) for row in rows)])
        if each >= NARROWEST or most == 1:
            break
    return rows, lines, max(each, PASS)


def _box_width(row: Sequence[Node], room: float) -> float:
    boxes = sum(len(node) == 1 for node in row)
    passing = len(row) - boxes
    return (room - passing * PASS - (len(row) - 1) * GAP) / boxes if boxes else WIDEST


def _placed(
    rows: Sequence[Sequence[Node]],
    labels: Mapping[str, str],
    kinds: Mapping[str, str],
    room: float,
    each: float,
    between: float,
) -> tuple[dict[str, Box], dict[Node, tuple[float, float, float]], float]:
    """Boxes by id; for passing lines x, top and bottom of the layer; and where the last layer ends."""
    boxes: dict[str, Box] = {}
    passes: dict[Node, tuple[float, float, float]] = {}
    top = between / 2
    for row in rows:
        text = {node[0]: wrapped(labels[node[0]], each - 2 * PADDING) for node in row if len(node) == 1}
        height = LINE * max([1, *(len(lines) for lines in text.values())]) + 2 * PADDING
        widths = [each if len(node) == 1 else PASS for node in row]
        x = MARGIN + (room - sum(widths) - GAP * (len(row) - 1)) / 2
        for node, wide in zip(row, widths, strict=True):
            if len(node) == 1:
                boxes[node[0]] = Box(node[0], x, top, wide, height, text[node[0]], kinds.get(node[0], ""))
            else:
                passes[node] = (x + wide / 2, top, top + height)
            x += wide + GAP
        top += height + between
    return boxes, passes, top - between


def _course(
    nodes: Sequence[Node], boxes: Mapping[str, Box], passes: Mapping[Node, tuple[float, float, float]]
) -> tuple[Point, ...]:
    """From the bottom of the first box to the top of the last, straight down where it passes a layer."""
    first, last = boxes[nodes[0][0]], boxes[nodes[-1][0]]
    points = [(first.centre, first.bottom)]
    for node in nodes[1:-1]:
        x, top, bottom = passes[node]
        points += [(x, top), (x, bottom)]
    return (*points, (last.centre, last.y))


def _detour(
    said: tuple[str, str, str],
    boxes: Mapping[str, Box],
    lane: float,
    drop: float,
    between: float,
) -> Join:
    """Out below the one box, along the gap to the margin, and back in above the other: never over a box."""
    tail, head, text = said
    out, into = boxes[tail], boxes[head]
    leave, arrive = out.x + out.width - PADDING, into.x + into.width - PADDING
    below, above = out.bottom + between / 2 + drop / 2, into.y - between / 2 + drop / 2
    points = (
        (leave, out.bottom),
        (leave, below),
        (lane, below),
        (lane, above),
        (arrive, above),
        (arrive, into.y),
    )
    return Join(tail, head, points, "contradiction", text, ((leave + lane) / 2, below + LINE))
