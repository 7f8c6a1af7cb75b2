"""Which layer each thing stands in, and which place in it.

Source: the layered drawing of Sugiyama, Tagawa and Toda 1981, "Methods for visual understanding of hierarchical
system structures", IEEE Transactions on Systems, Man and Cybernetics 11: longest paths, then barycentres.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

Step = tuple[str, str]
Node = tuple[str, ...]  # (id,) for a thing, (tail, head, layer) for a place where a long line passes

SWEEPS = 12


def layer_numbers(ids: Sequence[str], steps: Iterable[Step], most: int) -> dict[str, int]:
    """The layer of each id, from 0: below all that come before it, in the first such with room for it.

    Errors: ValueError where a step names an unknown id or the steps run in a circle.
    """
    before: dict[str, set[str]] = {id: set() for id in ids}
    for tail, head in steps:
        if tail not in before or head not in before:
            raise ValueError(f"the step from {tail} to {head} names what is not drawn")
        before[head].add(tail)
    try:
        ordered = [*TopologicalSorter(before).static_order()]
    except CycleError as circle:
        raise ValueError(f"the steps run in a circle: {' to '.join(circle.args[1][::-1])}") from None
    depth: dict[str, int] = {}
    for id in ordered:
        depth[id] = max((depth[earlier] + 1 for earlier in before[id]), default=0)
    place = {id: index for index, id in enumerate(ids)}
    layers: dict[str, int] = {}
    filled: dict[int, int] = defaultdict(int)
    for id in sorted(ids, key=lambda id: (depth[id], place[id])):
        layer = max((layers[earlier] + 1 for earlier in before[id]), default=0)
        while filled[layer] >= most:
            layer += 1
        layers[id], filled[layer] = layer, filled[layer] + 1
    return layers


def chains(steps: Iterable[Step], layers: Mapping[str, int]) -> dict[Step, list[Node]]:
    """For each step the nodes from its tail to its head, one per layer."""
    return {
        (tail, head): [
            (tail,),
            *((tail, head, str(layer)) for layer in range(layers[tail] + 1, layers[head])),
            (head,),
        ]
        for tail, head in steps
    }


def arranged(
    ids: Sequence[str], layers: Mapping[str, int], lines: Mapping[Step, Sequence[Node]]
) -> list[list[Node]]:
    """The nodes of each layer from left to right, with few crossings: barycentres swept down and up.

    The best arrangement met is kept, and the first of equals, so that the same input gives the same drawing.
    """
    rows: list[list[Node]] = [[] for _ in range(max(layers.values(), default=-1) + 1)]
    for id in ids:
        rows[layers[id]].append((id,))
    pairs = [pair for nodes in lines.values() for pair in zip(nodes, nodes[1:], strict=False)]
    for (tail, _), nodes in lines.items():
        for offset, node in enumerate(nodes[1:-1], start=1):
            rows[layers[tail] + offset].append(node)
    above: dict[Node, list[Node]] = defaultdict(list)
    below: dict[Node, list[Node]] = defaultdict(list)
    for upper, lower in pairs:
        above[lower].append(upper)
        below[upper].append(lower)
    best, fewest = [row[:] for row in rows], crossings(rows, below)
    for sweep in range(SWEEPS):
        down = sweep % 2 == 0
        for index in range(1, len(rows)) if down else range(len(rows) - 2, -1, -1):
            _sort_by_barycentre(rows[index], rows[index - 1 if down else index + 1], above if down else below)
        if (now := crossings(rows, below)) < fewest:
            best, fewest = [row[:] for row in rows], now
    return best


def crossings(rows: Sequence[Sequence[Node]], below: Mapping[Node, Sequence[Node]]) -> int:
    """How many pairs of lines cross between neighbouring layers."""
    number = 0
    for upper, lower in zip(rows, rows[1:], strict=False):
        place = {node: index for index, node in enumerate(lower)}
        ends = [sorted(place[node] for node in below.get(start, ())) for start in upper]
        flat = [end for group in ends for end in group]
        number += sum(a > b for i, a in enumerate(flat) for b in flat[i + 1 :])
    return number


def _sort_by_barycentre(
    row: list[Node], fixed: Sequence[Node], neighbours: Mapping[Node, Sequence[Node]]
) -> None:
    """Nodes that no line joins to the fixed row keep about their place."""
    place = {node: index / max(1, len(fixed) - 1) for index, node in enumerate(fixed)}
    own = {node: index / max(1, len(row) - 1) for index, node in enumerate(row)}

    def barycentre(node: Node) -> float:
        near = [place[other] for other in neighbours.get(node, ())]
        return sum(near) / len(near) if near else own[node]

    row.sort(key=barycentre)
