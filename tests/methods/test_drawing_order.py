"""A release order drawn: nothing over anything else, earlier above later, and it fits a phone."""

from itertools import combinations

import networkx as nx
import numpy as np
import pytest

from registry.methods.drawing import Box, draw_order
from registry.methods.drawing.layers import arranged, chains, crossings, layer_numbers


def random_order(seed: int, size: int) -> tuple[dict[str, str], list[tuple[str, str]]]:
    rng = np.random.default_rng(seed)
    graph = nx.DiGraph()
    graph.add_nodes_from(range(size))
    graph.add_edges_from((i, j) for i in range(size) for j in range(i + 1, size) if rng.random() < 0.2)
    labels = {str(n): f"variant {n} with chrome wheels and a crest" for n in range(size)}
    return labels, [(str(i), str(j)) for i, j in nx.transitive_reduction(graph).edges]


def crosses(box: Box, start, end) -> bool:
    """Whether the line runs through the inside of the box: its part within the box's height, then its width."""
    (x0, y0), (x1, y1) = start, end
    top, bottom = sorted((y0, y1))
    upper, lower = max(top, box.y + 0.01), min(bottom, box.bottom - 0.01)
    if upper > lower:
        return False
    slope = (x1 - x0) / (y1 - y0) if y1 != y0 else 0.0
    xs = sorted([x0, x1] if y1 == y0 else [x0 + slope * (y - y0) for y in (upper, lower)])
    return xs[0] < box.x + box.width - 0.01 and xs[1] > box.x + 0.01


@pytest.mark.parametrize("seed", range(25))
def test_nothing_is_drawn_over_anything_and_earlier_is_above_later(seed):
    labels, steps = random_order(seed, 3 + seed % 12)
    said = [(steps[-1][1], steps[-1][0], "1"), ("2", "0", "2")] if steps and seed % 2 else []
    drawing = draw_order(labels, steps, said)
    boxes = {box.id: box for box in drawing.boxes}
    assert boxes.keys() == labels.keys()
    for box in drawing.boxes:
        assert 0 <= box.x < box.x + box.width <= drawing.width == 390
        assert 0 <= box.y < box.bottom <= drawing.height
    for one, other in combinations(drawing.boxes, 2):
        beside = one.x + one.width < other.x or other.x + other.width < one.x
        assert beside or one.bottom < other.y or other.bottom < one.y
    assert len(drawing.joins) == len(steps) + len(said)
    for join in drawing.joins:
        if join.kind == "order":
            assert boxes[join.tail].bottom < boxes[join.head].y
        assert all(0 <= x <= drawing.width and 0 <= y <= drawing.height for x, y in join.points)
        for start, end in zip(join.points, join.points[1:], strict=False):
            assert not any(crosses(box, start, end) for box in drawing.boxes)


def test_without_a_bound_on_breadth_the_layers_are_those_of_networkx():
    for seed in range(100):
        labels, steps = random_order(seed, 10)
        graph = nx.DiGraph(steps)
        graph.add_nodes_from(labels)
        expected = {id: depth for depth, layer in enumerate(longest_paths(graph)) for id in layer}
        assert layer_numbers(tuple(labels), steps, 10) == expected


def longest_paths(graph: nx.DiGraph) -> list[set[str]]:
    return [set(layer) for layer in nx.topological_generations(graph)]


def test_no_layer_is_broader_than_allowed_and_every_step_still_leads_down():
    labels, steps = random_order(3, 14)
    for most in (1, 2, 3):
        layers = layer_numbers(tuple(labels), steps, most)
        assert max(np.bincount(list(layers.values()))) <= most
        assert all(layers[tail] < layers[head] for tail, head in steps)


def test_crossings_that_can_be_avoided_are_avoided():
    ids, steps = ("a", "b", "c", "x", "y", "z"), [("a", "z"), ("b", "y"), ("c", "x")]
    layers = layer_numbers(ids, steps, 3)
    lines = chains(steps, layers)
    below = {(tail,): [(head,)] for tail, head in steps}
    assert crossings([[("a",), ("b",), ("c",)], [("x",), ("y",), ("z",)]], below) == 3
    assert crossings(arranged(ids, layers, lines), below) == 0


def test_sweeping_never_makes_more_crossings_than_there_were():
    before = after = 0
    for seed in range(60):
        labels, steps = random_order(seed, 12)
        layers = layer_numbers(tuple(labels), steps, 4)
        lines = chains(steps, layers)
        below = {}
        for nodes in lines.values():
            for upper, lower in zip(nodes, nodes[1:], strict=False):
                below.setdefault(upper, []).append(lower)
        rows = arranged(tuple(labels), layers, lines)
        unsorted = [sorted(row, key=lambda node: (len(node), int(node[0]))) for row in rows]
        assert crossings(rows, below) <= crossings(unsorted, below)
        before, after = before + crossings(unsorted, below), after + crossings(rows, below)
    assert after < before / 2


def test_labels_wrap_and_kinds_come_back_with_their_boxes():
    drawing = draw_order(
        {"a": "black wheels, first card", "b": "chrome"}, [("a", "b")], kinds={"b": "two-pack"}
    )
    first, second = drawing.boxes
    assert " ".join(first.lines) == "black wheels, first card"
    assert (first.kind, second.kind) == ("", "two-pack")


def test_a_contradiction_is_a_line_apart_with_its_text():
    (order, said) = draw_order({"a": "one", "b": "other"}, [("a", "b")], [("b", "a", "1")]).joins
    assert (order.kind, said.kind, said.text) == ("order", "contradiction", "1")
    assert max(x for x, _ in said.points) > max(x for x, _ in order.points)


def test_equals_stand_in_the_order_given_and_nothing_makes_an_empty_drawing():
    drawing = draw_order({"b": "one", "a": "other"}, [])
    assert [box.id for box in sorted(drawing.boxes, key=lambda box: box.x)] == ["b", "a"]
    assert draw_order({}, []).boxes == ()


@pytest.mark.parametrize("steps", [[("a", "b"), ("b", "a")], [("a", "a")]])
def test_steps_that_run_in_a_circle_are_refused(steps):
    with pytest.raises(ValueError, match="run in a circle: a to"):
        draw_order({"a": "one", "b": "other"}, steps)


def test_lines_to_what_is_not_drawn_are_refused():
    with pytest.raises(ValueError, match="the step from a to z"):
        draw_order({"a": "one"}, [("a", "z")])
    with pytest.raises(ValueError, match="the contradiction from z to a"):
        draw_order({"a": "one"}, [], [("z", "a", "1")])
